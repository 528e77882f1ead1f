"""What presenters share: forms, options, lists, routes and error messages."""
