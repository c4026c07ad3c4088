"""What a page of ours may do: run its one script, and ask for nothing or for what it came from."""

from __future__ import annotations

import base64
import hashlib


def policy(script: str, asks: bool) -> str:
    """A page's Content-Security-Policy: the script by its digest; styles and saved pictures of its own."""
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    whom = "'self'" if asks else "'none'"
    return (
        f"default-src 'none'; script-src 'sha256-{digest}'; style-src 'unsafe-inline'; img-src blob:; "
        f"connect-src {whom}; base-uri 'none'; form-action 'none'"
    )
