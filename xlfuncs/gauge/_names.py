"""Names as people write them, brought to one form for comparing."""

import re


def squeeze(name: str) -> str:
    """Without case, spaces, hyphens and underscores: 'Sm-Co 5' and 'smco5' are one."""
    return re.sub(r"[\s_-]", "", name.casefold())
