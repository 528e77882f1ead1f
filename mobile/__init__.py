"""The phone: records changes and shows them."""
