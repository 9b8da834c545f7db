"""The error budget: how true a board can come off this shop's machine.

In: a bound shop, what is cut (sizes, cutters, passes), and where something was measured afterwards, readings.
Out: for each measure what is to be expected and what at worst, by contributors with size, kind and source;
and from readings the shop's own figures with how sure they are. Promise: nothing is known better than
somebody said or measured it: what the shop does not say is a guess, and is called one. mm and degrees.
"""
