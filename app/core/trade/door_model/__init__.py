"""One model of the whole door: every remedy comes out of it, so that none undoes another.

chain.py   things that lean, one after the other, and the gaps between them
profile.py heights along a line, as they were read
door.py    the door: panels, ends, what the drawing allows
bounds.py  which roller extensions a panel may have, closed, in mid-travel and stacked
plan.py    how every roller should stand, rounded to what a hand can do, and judged
outlook.py whether the door can be finished, how sure that is, the least change that mends it
words.py   what all this says, in sentences

All SEEN FROM OUTSIDE: x to the right, y up, a lean counts to the left (counter-clockwise).
Lengths are whole nanometres. Floats only propose: a plan is judged in whole numbers.

Assumed: rigid panels, small turns, supports at two axles, straight track between stations.
"""
