"""Links that open the app, such as `rowend://pair?…`."""
