"""What can be checked of PDF/A-3a and PDF/UA-1 in a file's structure, by pikepdf (qpdf).

This is no certified validator: it reads the objects and content streams of a file and compares
them with clauses of ISO 19005-2:2011 and ISO 14289-1:2014 (restated, named beside each check).
Colour inside pictures, glyph widths, reading order and meaning are not judged here.
"""

import re
from collections.abc import Iterator

import pikepdf
from pikepdf import Array, Dictionary, Name, Object, Pdf, Stream

STANDARD = re.compile(
    "Document|Part|Art|Sect|Div|BlockQuote|Caption|TOC|TOCI|Index|NonStruct|Private|P|H|H[1-6]|L|LI"
    "|Lbl|LBody|Table|TR|TH|TD|THead|TBody|TFoot|Span|Quote|Note|Reference|BibEntry|Code|Link|Annot"
    "|Ruby|RB|RT|RP|Warichu|WT|WP|Figure|Formula|Form"
)  # ISO 32000-1 14.8.4
PARENTS = {
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "TH": {"TR"},
    "TD": {"TR"},
    "THead": {"Table"},
    "TBody": {"Table"},
    "LI": {"L"},
    "LBody": {"LI"},
    "TOCI": {"TOC"},
}
PAINTING = {"Tj", "TJ", "'", '"', "f", "F", "f*", "B", "B*", "b", "b*", "S", "s", "sh", "Do", "BI"}
ACTIONS = {"Launch", "Sound", "Movie", "ResetForm", "ImportData", "JavaScript", "Hide", "SetState"}


def faults(pdf: Pdf) -> list[str]:
    """Return what does not fit, each with its clause."""
    return [
        found
        for check in (
            file,
            embedded,
            intent,
            metadata,
            fonts,
            pictures,
            actions,
            notes,
            form,
            document,
            tree,
        )
        for found in check(pdf)
    ] + [found for page in pdf.pages for found in contents(pdf, page)]


def embedded(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with embedded files (19005-3 6.8): associated, named, with their kind."""
    names = pdf.Root.get("/Names", Dictionary()).get("/EmbeddedFiles", Dictionary())
    specs = list(names.get("/Names", Array()))[1::2]
    associated = list(pdf.Root.get("/AF", Array()))
    if len(specs) != len(associated):
        yield "6.8 a file is embedded and not associated"
    for spec in specs:
        for key in ("/F", "/UF", "/AFRelationship", "/EF"):
            if key not in spec:
                yield "6.8 a file specification without " + key
        if "/Subtype" not in spec.EF.F:
            yield "6.8 an embedded file without its kind"


def file(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with header and trailer (19005-2 6.1.2, 6.1.3, 6.1.12)."""
    if not "1.0" <= pdf.pdf_version <= "1.7":
        yield "6.1.2 version " + pdf.pdf_version
    if "/ID" not in pdf.trailer:
        yield "6.1.3 no ID"
    if pdf.is_encrypted or "/Encrypt" in pdf.trailer:
        yield "6.1.3 encrypted"
    for key in ("/AA", "/OCProperties", "/Requirements"):
        if key in pdf.Root:
            yield "6.1 / 6.5 catalogue has " + key


def intent(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with the output intent (19005-2 6.2.3)."""
    found = [one for one in pdf.Root.get("/OutputIntents", []) if one.S == Name.GTS_PDFA1]
    if len(found) != 1:
        yield "6.2.3 no output intent"
    for one in found:
        profile = one.DestOutputProfile
        if profile.read_bytes()[36:40] != b"acsp" or profile.get("/N") not in (1, 3, 4):
            yield "6.2.3 the profile is no ICC profile"


def metadata(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with the identification (19005-2 6.6, 14289-1 5 and 7.1)."""
    if "/Metadata" not in pdf.Root:
        yield "6.6.2 no metadata"
        return
    with pdf.open_metadata(set_pikepdf_as_editor=False) as said:
        for name, value in (
            ("pdfaid:part", "3"), ("pdfaid:conformance", "A"),
            ("{http://www.aiim.org/pdfua/ns/id/}part", "1"),
        ):  # fmt: skip
            if str(said.get(name, "")) != value:
                yield f"6.6.4 / 14289-1 5: {name} is {said.get(name)}"
        title = said.get("dc:title", "")
        if not title or title != str(pdf.docinfo.get("/Title", "")):
            yield "7.1 title of metadata and of the document differ"


def objects(pdf: Pdf, kind: str) -> Iterator[Object]:
    """Yield every dictionary or stream of this /Type."""
    for one in pdf.objects:
        if isinstance(one, Dictionary | Stream) and one.get("/Type") == Name("/" + kind):
            yield one


def fonts(pdf: Pdf) -> Iterator[str]:
    """Yield fonts that are not embedded, or whose text cannot be told (19005-2 6.2.11)."""
    for font in objects(pdf, "Font"):
        name = str(font.get("/BaseFont", font.get("/Subtype")))
        if font.Subtype == Name.Type0:
            if "/ToUnicode" not in font:
                yield f"6.2.11.7 {name} without ToUnicode"
            elif re.search(rb"<(0000|FEFF|FFFE)>\s*$", font.ToUnicode.read_bytes(), re.MULTILINE):
                yield f"6.2.11.7.2 {name} maps to no character"
        elif font.Subtype != Name.Type3:
            described = font.get("/FontDescriptor", Dictionary())
            if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(described.keys()):
                yield f"6.2.11.4 {name} is not embedded"
            if font.Subtype == Name.CIDFontType2 and "/CIDToGIDMap" not in font:
                yield f"6.2.11.3.2 {name} has no CIDToGIDMap"
    for shown in objects(pdf, "ExtGState"):
        if "/TR" in shown or shown.get("/TR2", Name.Default) != Name.Default:
            yield "6.2.5 transfer function"


def pictures(pdf: Pdf) -> Iterator[str]:
    """Yield what pictures and streams must not have (19005-2 6.1.7, 6.2.8, 6.2.9)."""
    for one in pdf.objects:
        if not isinstance(one, Stream):
            continue
        filters = one.get("/Filter", [])
        named = [filters] if isinstance(filters, Name) else list(filters)
        if Name.LZWDecode in named or Name.Crypt in named or "/F" in one:
            yield "6.1.7 filter or outside file"
        if one.get("/Subtype") == Name.PS or {"/OPI", "/Alternates", "/Ref"} & set(one.keys()):
            yield "6.2.8 / 6.2.9 PostScript, OPI, alternate or reference"
        if one.get("/Interpolate") is True:
            yield "6.2.8 interpolated"


def actions(pdf: Pdf) -> Iterator[str]:
    """Yield actions and scripts that an archive must not hold (19005-3 6.5)."""
    for one in pdf.objects:
        if isinstance(one, Dictionary) and str(one.get("/S", ""))[1:] in ACTIONS:
            yield "6.5.1 action " + str(one.S)
    if "/Names" in pdf.Root and "/JavaScript" in pdf.Root.Names:
        yield "6.5.1 scripts"


def notes(pdf: Pdf) -> Iterator[str]:
    """Yield annotations that do not print or say nothing (19005-2 6.3, 14289-1 7.18)."""
    for page in pdf.pages:
        found = list(page.get("/Annots", []))
        if found and page.get("/Tabs") != Name.S:
            yield "7.18.3 tab order is not the structure's"
        for one in found:
            flags = int(one.get("/F", 0))
            if not flags & 4 or flags & 0b100011:
                yield "6.3.2 an annotation that does not print"
            if one.Subtype == Name.Link and not one.get("/Contents"):
                yield "7.18.5 a link without words"


def form(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with a form: only a signature that nobody sees is one here.

    19005-2 6.1.12 (permissions), 6.3.3 (appearances), 6.4.1, 6.4.3; 14289-1 7.18.1, 7.18.4.
    """
    held = pdf.Root.get("/AcroForm", Dictionary())
    if held.get("/NeedAppearances", False) or "/XFA" in held:
        yield "6.4.1 appearances are needed, or XFA"
    if not set(pdf.Root.get("/Perms", Dictionary()).keys()) <= {"/DocMDP", "/UR3"}:
        yield "6.1.12 another permission"
    for field in held.get("/Fields", []):
        if field.get("/FT") != Name.Sig:
            yield "6.4 a field that is no signature"
            continue
        if not str(field.get("/TU", "")):
            yield "7.18.1 a field without a description"
        left, low, right, high = (float(number) for number in field.Rect)
        box = [float(number) for number in field.P.get("/CropBox", field.P.MediaBox)]
        if (left, low) != (right, high):
            yield "6.3.3 a field that shows, without an appearance"
        if right > box[0] and left < box[2] and high > box[1] and low < box[3]:
            yield "7.18.4 a field on the page, in no Form element"
        for reference in field.V.get("/Reference", []):
            if {"/DigestLocation", "/DigestMethod", "/DigestValue"} & set(reference.keys()):
                yield "6.1.12 DocMDP with a digest"


def document(pdf: Pdf) -> Iterator[str]:
    """Yield what the catalogue lacks for a tagged file (14289-1 6.2, 7.1, 7.2; 7.17 bookmarks)."""
    root = pdf.Root
    if root.get("/MarkInfo", {}).get("/Marked") is not True:
        yield "6.2 not marked"
    if root.get("/MarkInfo", {}).get("/Suspects", False):
        yield "7.1 suspects"
    if not re.fullmatch(r"[a-z]{2}(-[A-Za-z0-9]+)*", str(root.get("/Lang", ""))):
        yield "7.2 no language"
    if root.get("/ViewerPreferences", {}).get("/DisplayDocTitle") is not True:
        yield "7.1 the title is not displayed"
    if "/Outlines" not in root:
        yield "7.17 no bookmarks"


def elements(pdf: Pdf) -> Iterator[tuple[Dictionary, str]]:
    """Yield every structure element with its parent's type, in reading order."""
    ahead: list[tuple[Object, str]] = [(pdf.Root.get("/StructTreeRoot", Dictionary()), "")]
    while ahead:
        node, parent = ahead.pop()
        kind = str(node.get("/S", ""))[1:]
        if kind:
            yield node, parent
        inside = node.get("/K", [])
        children = reversed(list(inside) if isinstance(inside, Array) else [inside])
        ahead += [(one, kind) for one in children if isinstance(one, Dictionary) and "/S" in one]


def tree(pdf: Pdf) -> Iterator[str]:
    """Yield what is wrong with the structure (19005-2 6.7.3; 14289-1 7.1 to 7.5)."""
    if "/StructTreeRoot" not in pdf.Root:
        yield "7.1 no structure"
        return
    level = 0
    roles = pdf.Root.StructTreeRoot.get("/RoleMap", Dictionary())
    for node, above in elements(pdf):
        kind, parent = _role(roles, str(node.S)[1:]), _role(roles, above)
        if not STANDARD.fullmatch(kind):
            yield "7.1 no standard type and mapped to none: " + kind
        if parent not in PARENTS.get(kind, {parent}):
            yield f"7.2 {kind} in {parent}"
        if kind == "Figure" and not str(node.get("/Alt", "")):
            yield "7.3 a figure without text"
        if kind == "TH" and not any("/Scope" in one for one in _attributes(node)):
            yield "7.5 a head without scope"
        if re.fullmatch("H[1-6]", kind):
            if int(kind[1]) > level + 1:
                yield f"7.4.2 {kind} after H{level}"
            level = int(kind[1])


def _role(roles: Dictionary, kind: str) -> str:
    """Return the standard type that a type stands for."""
    for _ in range(8):
        if STANDARD.fullmatch(kind) or "/" + kind not in roles:
            break
        kind = str(roles["/" + kind])[1:]
    return kind


def _attributes(node: Dictionary) -> list[Dictionary]:
    found = node.get("/A", [])
    listed = list(found) if isinstance(found, Array) else [found]
    return [one for one in listed if isinstance(one, Dictionary)]


def contents(pdf: Pdf, page: pikepdf.Page) -> Iterator[str]:
    """Yield what a page paints that is neither tagged nor an artifact (14289-1 7.1)."""
    depth, loose = 0, 0
    tagged: set[int] = set()
    for operands, operator in pikepdf.parse_content_stream(page):
        word = str(operator)
        if word in ("BDC", "BMC"):
            depth += 1
            if word == "BDC" and isinstance(operands[1], Dictionary) and "/MCID" in operands[1]:
                tagged.add(int(operands[1].MCID))
        elif word == "EMC":
            depth -= 1
        elif word in PAINTING and depth == 0:
            loose += 1
    if loose or depth:
        yield f"7.1 {loose} operators outside of marked content"
    known = pikepdf.NumberTree(pdf.Root.StructTreeRoot.ParentTree)
    parents = known.get(int(page.get("/StructParents", -1)), []) if "/StructParents" in page else []
    if tagged - {at for at, parent in enumerate(parents) if isinstance(parent, Dictionary)}:
        yield "7.1 tagged content that is in no element"
