"""The traps of the trade's arithmetic, each with what falls into it beside what we say.

Facts about pint and Python are run here, not remembered: when a new version mends one, its line
fails and can go.
"""

from fractions import Fraction

import pint
import pytest

from app.core.errors import InputError
from app.core.quantity.measure import parse_amount, show_length
from app.core.quantity.messages import Len
from app.core.quantity.speaker import Speaker
from app.core.trade import frame, sealant

INCH = 25_400_000
UNITS = pint.UnitRegistry()


def test_a_mixed_fraction_is_not_a_product() -> None:
    misread = UNITS.Quantity("1 3/8 inch").to("mm").magnitude
    assert misread == pytest.approx(9.525)  # 1 * 3/8: pint reads it as 0.375 in, without a word
    for text in ("1 3/8", "1-3/8", '1 3/8"'):
        assert parse_amount("length", text, "in") == 34_925_000


def test_a_pound_a_square_foot_has_no_name_there() -> None:
    with pytest.raises(pint.UndefinedUnitError):
        UNITS.Quantity(1, "psf")
    assert UNITS.Quantity(1, "lbf/ft**2").to("Pa").magnitude == pytest.approx(47.880259, abs=1e-6)


@pytest.mark.parametrize("odd", [1, 3, 5, 7, 9, 11])
def test_a_tie_goes_up_and_not_to_the_even_one(odd: int) -> None:
    up = Fraction((odd + 1) // 2, 16)  # in sixteenths; the reading lies half way between two
    said = show_length(odd * INCH // 32, "in", "size", INCH // 16)
    whole, rest = divmod(up, 1)
    words = " ".join(str(part) for part in (whole, rest) if part) or "0"
    assert said == f'{words}"'
    if odd % 4 == 1:
        assert round(Fraction(odd, 2)) != up * 16  # Python's own round() goes to the even one


def test_two_strings_show_half_of_the_twist() -> None:
    for corners in ((0, 0, 4, 0), (0, 2, 0, 2), (0, 0, 0, 3)):
        a, b, c, d = corners
        fourth = Fraction(a + c) - b  # where the plane of a, b, c has its fourth corner
        assert abs(frame.corner_off(*corners)) == abs(fourth - d)
        crossing = abs(Fraction(a + c, 2) - Fraction(b + d, 2))
        assert 2 * crossing == abs(fourth - d)


def test_a_chart_of_fifty_feet_is_the_fillets() -> None:
    """One web chart lists 50 to 55 ft for 1/4 x 1/4 from 10.1 fl oz: the triangle's figure."""
    cartridge = sealant.FLUID_OUNCE * 101 // 10
    square = sealant.bead_reach(sealant.rectangular_section(INCH // 4, INCH // 4), cartridge)
    triangle = sealant.bead_reach(sealant.fillet_section(INCH // 4), cartridge)
    assert round(square / INCH / 12, 3) == 24.303
    assert round(triangle / INCH / 12, 3) == 48.606
    assert not 50 * 12 * INCH <= square <= 55 * 12 * INCH


@pytest.mark.parametrize("text", ["1/0", "3/8/2", "7' 15\"", "1 3/8 1/2", "1 - 3/8", "-7' 4\""])
def test_what_nobody_can_mean_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        parse_amount("length", text, "in")


def test_a_rounded_figure_is_never_read_back() -> None:
    exact = 34_000_000  # 34 mm, shown as 1 5/16 in sixteenths, is not 1 5/16
    shown = Speaker(units="in").say(Len(exact, "size", INCH // 16))
    assert shown == '1 5/16"'
    assert parse_amount("length", shown, "in") != exact
