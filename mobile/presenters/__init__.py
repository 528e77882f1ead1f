"""What each screen shows and what a tap means. No Kivy here: tests run these without a window."""
