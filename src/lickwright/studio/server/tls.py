"""A certificate and its key: what an encrypted connection needs."""

from __future__ import annotations

import ssl
from pathlib import Path

from lickwright.errors import LessonError, Spot


def tls_from(cert: Path | None, key: Path | None) -> ssl.SSLContext | None:
    """What connections are encrypted with, ``None`` where neither file is named.

    Parameters
    ----------
    cert : the certificate and what it rests on (PEM), the studio's own first.
    key : its private key (PEM), without a passphrase.

    Raises
    ------
    LessonError
        When only one is named, or a file cannot be read, or the two do not belong together.
    """
    if cert is None and key is None:
        return None
    if cert is None or key is None:
        raise LessonError(
            "a certificate and its key belong together", mend="Give both --cert and --key"
        )
    for file in (cert, key):
        try:
            file.read_bytes()
        except OSError as error:
            raise LessonError(
                f"the file cannot be read ({(error.strerror or '').lower()})",
                mend="Name a PEM file that you may read",
                where=Spot(str(file)),
            ) from error
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    try:
        # An empty passphrase: otherwise the terminal would be asked for one.
        context.load_cert_chain(cert, key, password="")
    except (ssl.SSLError, ValueError) as error:
        is_other = getattr(error, "reason", "") == "KEY_VALUES_MISMATCH"
        raise LessonError(
            "the certificate and the key do not belong together"
            if is_other
            else "the certificate or its key is no PEM file without a passphrase",
            mend="Name the certificate's own key"
            if is_other
            else "Give --cert a certificate and --key its private key, both as PEM",
            where=Spot(str(cert)),
        ) from error
    return context
