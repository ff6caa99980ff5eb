"""QR codes as SVG. Source: ISO/IEC 18004, by the segno library."""

import io

import segno


def svg(address: str) -> str:
    """Return the QR code of an address as an SVG document, with its quiet zone."""
    out = io.BytesIO()
    code = segno.make(address, micro=False, error="m")
    code.save(out, kind="svg", scale=4, border=4, xmldecl=False, svgns=True, nl=False)
    return out.getvalue().decode()
