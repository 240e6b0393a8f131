"""Notes, photographs and measurements, as the pages of a boat and of an order show and take them."""
