"""Blind tastings side by side: how to lay them out, and what their results can and cannot say.

Before: `question` (which test; `procedure` for one that is named), `plan` (tasters, orders, codes),
`carving`, `sheets`, `conditions`; `printed` and `design_record` put a design on paper and into JSON. After:
`marking` (codes back to products), then `discrimination`, `dprime`, `replicated`, `paired_preference`,
`bradley_terry`, `ranking`, `scores` or `blocks`, and `verdict_on_difference`, `verdict_on_preference` or
`verdict_on_scale` for plain words. Everything is a pure function on frozen data; nothing here reads cards
or makes pages.
"""

TASTING_VERSION = "3"
"""Raised when a change here may change a verdict, so that no kept one is shown any longer."""
