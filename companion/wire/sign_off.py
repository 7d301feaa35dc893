"""What a sign-off answers for: the content of the plan, byte by byte.

The content is the plan's JSON without its sign-off, keys sorted, no spaces, UTF-8. It is taken
from the record as it is written, so the same plan has one content however it was carried: 300 and
300.0 metres are one number.
A field added to the plan later must be None by default, or plans signed before it lose their name.
"""

import dataclasses
import hashlib
import json
from datetime import datetime

from companion.care.json_values import JsonObject
from companion.care.records import Plan, SignOff
from companion.wire.plain import encode


def content_bytes(plan: Plan) -> bytes:
    """The bytes a sign-off is over: canonical JSON of `plan` without its sign-off."""
    return canonical({name: part for name, part in encode(plan).items() if name != "sign_off"})


def canonical(content: JsonObject) -> bytes:
    """JSON with its keys sorted and no spaces, UTF-8."""
    text = json.dumps(
        content, ensure_ascii=False, allow_nan=False, sort_keys=True, separators=(",", ":")
    )
    return text.encode("utf-8")


def content_sha256(plan: Plan) -> str:
    """SHA-256 (FIPS 180-4) of `content_bytes`, 64 lower-case hexadecimal digits."""
    return hashlib.sha256(content_bytes(plan)).hexdigest()


def signed(plan: Plan, name: str, registration: str, signed_at: datetime) -> Plan:
    """`plan` signed by `name`; an earlier sign-off is replaced.

    Raises ValueError when `signed_at` has no offset from UTC.
    """
    if signed_at.utcoffset() is None:
        raise ValueError("a sign-off needs a time with its offset from UTC")
    return dataclasses.replace(
        plan,
        sign_off=SignOff(
            name=name,
            registration=registration,
            signed_at=signed_at,
            content_sha256=content_sha256(plan),
        ),
    )


def sign_off_holds(plan: Plan) -> bool:
    """True when the plan is signed and its content is still what was signed."""
    return plan.sign_off is not None and plan.sign_off.content_sha256 == content_sha256(plan)
