"""Parts that run in each other: clearance cold and hot, its limits, oil film, shells and ring gaps."""
