"""The key pairs with which this device signs its log."""
