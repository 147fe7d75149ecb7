"""What holds for every test."""

import os

from hypothesis import settings

# A busy machine says nothing about the code, so no case is failed for taking long. Where a run decides whether work is
# taken in, the cases are the same every time; at a desk they differ, and go on finding things.
settings.register_profile("desk", deadline=None, print_blob=True)
settings.register_profile("ci", parent=settings.get_profile("desk"), derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
