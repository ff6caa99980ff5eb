"""Heights along a line as they were read: straight between stations, level beyond the ends."""

from app.core.errors import InputError
from app.core.quantity.messages import Msg


class Profile:
    """Readings at stations along a line (a track, a sill, a head's lip, a jamb).

    xs: positions, ascending; ys: heights (of a jamb: offsets to the right); error: how far a
    reading may be off, by its instrument. No station at all is a line that nobody read: 0.
    guessed: whether nobody read this line, and its heights follow from others beside it.
    Errors: InputError 'profile-stations' where positions and heights do not match or rise.
    """

    def __init__(self, xs: "list[int]", ys: "list[int]", error: int = 0) -> None:
        if len(xs) != len(ys) or any([a >= b for a, b in zip(xs, xs[1:])]):
            raise InputError(
                "profile-stations",
                Msg("Each station needs one reading, and stations go from the left to the right."),
            )
        self.xs = xs
        self.ys = ys
        self.error = error
        self.guessed = False

    def guess(self) -> "Profile":
        """Return the same heights for a line that nobody read.

        Example: Profile([0, 4], [0, 2]).guess().unread(0) -> None
        """
        out = Profile(self.xs, self.ys, self.error)
        out.guessed = True
        return out

    def exact_height(self, x: int) -> "tuple[int, int]":
        """Return the height at x as (numerator, denominator).

        Example: Profile([0, 4], [0, 2]).exact_height(1) -> (2, 4)
        """
        k = self._stretch(x)
        if k < 0:
            return self._end(x), 1
        x1, x2 = self.xs[k], self.xs[k + 1]
        return self.ys[k] * (x2 - x) + self.ys[k + 1] * (x - x1), x2 - x1

    def height(self, x: int) -> float:
        """Return the height at x as a float, to propose with."""
        k = self._stretch(x)
        if k < 0:
            return float(self._end(x))
        x1 = self.xs[k]
        rise = self.ys[k + 1] - self.ys[k]
        return self.ys[k] + rise * (float(x - x1) / (self.xs[k + 1] - x1))

    def heights(self, start: int, shifts: "list[int]") -> "list[float]":
        """Return the heights at start + each of the ascending shifts, in one walk along the line.

        Example: Profile([0, 4], [0, 2]).heights(1, [0, 3, 9]) -> [0.5, 2.0, 2.0]
        """
        xs, ys = self.xs, self.ys
        last = len(xs) - 1
        out = []
        k = 0
        for shift in shifts:
            x = start + shift
            while k <= last and xs[k] < x:
                k += 1
            if k > last or k == 0:
                out.append(float(self._end(x)))
            else:
                x1, y1 = xs[k - 1], ys[k - 1]
                out.append(y1 + (ys[k] - y1) * (float(x - x1) / (xs[k] - x1)))
        return out

    def unread(self, x: int) -> "int | None":
        """Return how far x is from the nearest station, None where nothing was read."""
        if not self.xs or self.guessed:
            return None
        return min([abs(x - station) for station in self.xs])

    def _end(self, x: int) -> int:
        if not self.xs:
            return 0
        return self.ys[0] if x <= self.xs[0] else self.ys[-1]

    def _stretch(self, x: int) -> int:
        """Return the number of the station before x, -1 beyond the ends."""
        xs = self.xs
        if len(xs) < 2 or x <= xs[0] or x >= xs[-1]:
            return -1
        low = 0
        high = len(xs) - 1
        while high - low > 1:
            middle = (low + high) // 2
            if xs[middle] <= x:
                low = middle
            else:
                high = middle
        return low
