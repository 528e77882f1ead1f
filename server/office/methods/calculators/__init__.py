"""What people can work out with figures of their own, beside the methods that answer them."""
