"""What a value is worth: budgets, propagation by the GUM, and Monte Carlo as the cross-check."""
