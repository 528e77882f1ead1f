"""The screens: a .py and a .kv each, which lay out what a presenter says. They decide nothing."""
