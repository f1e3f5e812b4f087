"""`python -m xlfuncs` is the `xlfuncs` command."""

from xlfuncs.cli import main

raise SystemExit(main())
