"""Protective headers that go out with every answer."""

from collections.abc import Mapping

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'self'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "object-src 'none'",
    )
)
"""Pages load from this service and nowhere else, run no inline script or style, and stand in nobody's frame."""

SAFE_HEADERS: Mapping[str, str] = {
    "content-security-policy": CONTENT_SECURITY_POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    # Keep nothing for others, and ask each time whether what is kept is still current.
    "cache-control": "private, no-cache",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}
