"""What Android starts, from the top of the app's files: the app, in its own folder."""  # noqa: INP001 - p4a_hook.py

from mobile.main import main

if __name__ == "__main__":
    main([])
