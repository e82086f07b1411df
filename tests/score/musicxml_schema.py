"""The W3C's MusicXML 4.0 schema, as the package `musicxml` ships it, with local answers to its imports."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import musicxml.generate_classes
from lxml import etree

_XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/></xs:schema>"""
_XLINK = (
    '<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">'
    + "".join(
        f'<xs:attribute name="{name}" type="xs:string"/>'
        for name in ("href", "type", "role", "title", "show", "actuate")
    )
    + "</xs:schema>"
)


class _Local(etree.Resolver):
    """Answers the two schemas that are imported by web address."""

    def resolve(self, system_url: str, public_id: str, context: object) -> object:
        """The local text for an address."""
        answers = {"xml.xsd": _XML, "xlink.xsd": _XLINK}
        name = system_url.rpartition("/")[2]
        return self.resolve_string(answers[name], context) if name in answers else None


@cache
def schema() -> etree.XMLSchema:
    """The compiled schema."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Local())
    folder = Path(next(iter(musicxml.generate_classes.__path__)))
    return etree.XMLSchema(etree.parse(str(folder / "musicxml_4_0.xsd"), parser))


def is_valid(xml: bytes) -> bool:
    """Whether a score's bytes are valid MusicXML 4.0."""
    parser = etree.XMLParser(no_network=True, load_dtd=False)
    root = etree.fromstring(xml, parser)
    return bool(schema().validate(root.getroottree()))
