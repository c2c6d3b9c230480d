"""Pages of the plan: places and what fills them, to buy, how much and when."""
