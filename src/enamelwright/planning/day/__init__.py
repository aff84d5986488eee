"""The day: what goes in next, and when; many pieces, few hands, one kiln or several, and dates to keep."""
