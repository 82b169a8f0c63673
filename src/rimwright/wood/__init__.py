"""Woods with their sources, and relations of wood, water and heat."""
