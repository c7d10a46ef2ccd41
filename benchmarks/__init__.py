"""Speed and memory, as ratios within one run. `make bench` runs all of them."""
