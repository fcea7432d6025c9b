"""Writes a list of all parts with their versions (SBOM, CycloneDX 1.6 JSON).

``make sbom`` runs it.  The same packages give the same bytes: no moment is written down, and the
serial number follows from the rest.
"""

from __future__ import annotations

import sys
import uuid
from pathlib import Path

from cyclonedx.contrib.license.factories import LicenseFactory
from cyclonedx.model.bom import Bom
from cyclonedx.model.component import Component, ComponentType
from cyclonedx.output.json import JsonV1Dot6
from packageurl import PackageURL

from lickwright import __version__
from parts import EXTRAS, ROOT, Part, parts, plain

_SPACE = uuid.UUID("9c0b4f4e-6f0e-5f0c-9a53-6c1d6f3f7d11")


def bom() -> Bom:
    """Lickwright, all it brings, and all that its extras bring."""
    found = {name: part for extra in EXTRAS for name, part in parts(extra).items()}
    own = parts()
    found |= own
    made = Bom()
    made.metadata.timestamp = None  # type: ignore[assignment]  # it may be left out
    licences = LicenseFactory()
    root = Component(
        name="lickwright",
        version=__version__,
        type=ComponentType.APPLICATION,
        bom_ref="lickwright",
        licenses=[licences.make_from_string("Apache-2.0")],
        purl=PackageURL("pypi", None, "lickwright", __version__),
    )
    made.metadata.component = root
    components = {name: _component(part, licences) for name, part in sorted(found.items())}
    for component in components.values():
        made.components.add(component)
    # An extra's own packages hang on the root too: whoever lists them has asked for them.
    asked_by_others = {need for part in found.values() for need in part.needs}
    made.register_dependency(
        root,
        [
            component
            for name, component in components.items()
            if found[name].direct or name not in asked_by_others
        ],
    )
    for name, part in found.items():
        made.register_dependency(components[name], [components[plain(need)] for need in part.needs])
    known = repr([(part.plain, part.version, part.terms) for _, part in sorted(found.items())])
    made.serial_number = uuid.uuid5(_SPACE, __version__ + known)
    return made


def _component(part: Part, licences: LicenseFactory) -> Component:
    return Component(
        name=part.name,
        version=part.version,
        type=ComponentType.LIBRARY,
        bom_ref=f"{part.plain}@{part.version}",
        licenses=[licences.make_from_string(part.terms)],
        purl=PackageURL("pypi", None, part.plain, part.version),
    )


def text() -> str:
    """The list as it is written."""
    return JsonV1Dot6(bom()).output_as_string(indent=1) + "\n"


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "dist" / "lickwright.cdx.json"
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(text(), encoding="utf-8")
    print(target)
