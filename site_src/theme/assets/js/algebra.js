// The little linear algebra and statistics that a forecast takes. Touches no page.
// @ts-check
"use strict";

var Slowfolio = /** @type {any} */ (window).Slowfolio || {};

Slowfolio.algebra = (() => {
  /** @param {ArrayLike<number>} weight @param {ArrayLike<number>} row @returns {number} */
  function dot(weight, row) {
    let sum = 0;
    for (let i = 0; i < weight.length; i += 1) sum += weight[i] * row[i];
    return sum;
  }

  /** @param {Float64Array} row @returns {Float64Array} */
  function normalised(row) {
    const sum = row.reduce((total, value) => total + value, 0);
    return row.map((value) => value / sum);
  }

  /** @param {number} at @param {ArrayLike<number>} xs @param {ArrayLike<number>} ys @returns {number} */
  function interp(at, xs, ys) {
    const last = xs.length - 1;
    if (at <= xs[0]) return ys[0];
    if (at >= xs[last]) return ys[last];
    let low = 0, high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (xs[middle] <= at) low = middle;
      else high = middle;
    }
    const step = xs[high] - xs[low];
    return step > 0 ? ys[low] + ((at - xs[low]) / step) * (ys[high] - ys[low]) : ys[high];
  }

  /** Rows of L in L Lᵀ = matrix. @param {number[][]} matrix @returns {number[][]} */
  function cholesky(matrix) {
    const rows = matrix.map((row) => row.map(() => 0));
    for (let i = 0; i < rows.length; i += 1) {
      for (let j = 0; j <= i; j += 1) {
        let sum = matrix[i][j];
        for (let k = 0; k < j; k += 1) sum -= rows[i][k] * rows[j][k];
        rows[i][j] = i === j ? Math.sqrt(Math.max(sum, 1e-12)) : sum / rows[j][j];
      }
    }
    return rows;
  }

  /** @param {number[][]} lower @param {ArrayLike<number>} right @returns {number[]} */
  function forward(lower, right) {
    /** @type {number[]} */
    const found = [];
    for (let i = 0; i < lower.length; i += 1) {
      let sum = right[i];
      for (let k = 0; k < i; k += 1) sum -= lower[i][k] * found[k];
      found.push(sum / lower[i][i]);
    }
    return found;
  }

  /** @param {number[][]} matrix @param {number[]} right @returns {number[]} */
  function solve(matrix, right) {
    const lower = cholesky(matrix), half = forward(lower, right), size = right.length;
    const found = new Array(size).fill(0);
    for (let i = size - 1; i >= 0; i -= 1) {
      let sum = half[i];
      for (let k = i + 1; k < size; k += 1) sum -= lower[k][i] * found[k];
      found[i] = sum / lower[i][i];
    }
    return found;
  }

  /** Upper tail of the normal distribution over 1/2: erfc by Numerical Recipes' Chebyshev fit, 1.2e-7 (MEMORY).
   * @param {number} x @returns {number} */
  function erfc(x) {
    const t = 1 / (1 + 0.5 * Math.abs(x));
    const series = [-1.26551223, 1.00002368, 0.37409196, 0.09678418, -0.18628806, 0.27886807, -1.13520398, 1.48851587,
      -0.82215223, 0.17087277];
    const value = t * Math.exp(-x * x + series.reduceRight((sum, part) => sum * t + part, 0));
    return x >= 0 ? value : 2 - value;
  }

  return { dot, normalised, interp, cholesky, forward, solve, erfc };
})();
