"""Woods: what is published of each, and relations of moisture and heat."""
