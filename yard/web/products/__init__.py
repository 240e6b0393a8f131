"""Product data sheets on their pages."""
