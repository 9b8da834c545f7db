"""The error budget: how accurately this shop's machine can cut a board.

In: a bound shop, what is cut (sizes, cutters, passes), and readings where something was measured afterwards.
Out: for each measure the expected and the worst error, with every contributor's size, kind and source; from
readings, the shop's own figures and how certain they are. mm and degrees. Promise: nothing counts as known
that nobody stated or measured; what the shop does not state is a guess, and is called one.
"""
