"""How warm it gets inside a box with something in it that takes power: sealed, and with vents low and high.

`box`: free convection and radiation from the outside of a sealed box. `vents`: free area of slots, and the stack.
Estimates: a real box differs by a quarter (judgement), and who judges adds that.
"""
