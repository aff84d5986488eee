"""The trade, pure: what a piece, a coat, a jar and a firing are, and how a plan is made of them."""
