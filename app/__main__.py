"""``python -m app`` is the same as ``stopwright``."""

import sys

from app.main import main

if __name__ == "__main__":
    sys.exit(main())
