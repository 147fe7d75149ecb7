"""`python3 -m app …`, from a bare checkout on: read the command, set up what is missing, then do it."""

import sys

from app import bootstrap, cli


def main() -> int:
    """Run the command that was given and return its exit status."""
    command = cli.parser().parse_args()
    bootstrap.ready(bootstrap.RUN)
    from app import commands  # only now are the packages there that it needs

    return commands.run(command)


if __name__ == "__main__":
    sys.exit(main())
