"""Pages of the store plan, and of autumn: rules, last days, what rows and racks take."""
