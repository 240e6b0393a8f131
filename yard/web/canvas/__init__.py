"""Pages of canvas orders: pieces, panels, cutting plans, materials, the buying list."""
