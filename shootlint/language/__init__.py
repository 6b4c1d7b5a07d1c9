"""Text to tree to plan: sources and places, the tree, units, the plan's model, and complaints."""
