"""Blind tastings side by side: how to lay them out, and what their results can and cannot say.

Start at `plan` (question, test, tasters, orders, codes), `carving` (who gets which piece) and `verdict`
(plain words for a result). The statistics are in rooms of their own: `discrimination`, `dprime`,
`replicated`, `ranking`, `paired_preference`, `bradley_terry`, `scores`, `blocks`. Nothing here reads cards
or prints pages.
"""
