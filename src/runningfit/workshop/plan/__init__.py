"""Which lots fill which places, what to buy, how much and when."""
