"""Authorities' limits, lethality, growth and cooling: what the rules say of a course of temperatures.

Start at `profiles` (whose rules), `assess` (a cook and its hold), `cooling` and `reheat` (what comes after),
`thermometer` and `cautions` (the kitchen's side). Nothing here knows cards, pages or engine results: it takes
times and temperatures with an ensemble axis and gives back `verdict.Verdict`s.
"""
