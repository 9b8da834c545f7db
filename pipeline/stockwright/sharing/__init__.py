"""Recipes on their way between shops.

In: a recipe with its parents, its page and an example, or one file of them. Out: one file, or a folder.
Promise: only documents travel, never code and never a shop's own figures; what comes in is bounded, checked
against its digests, and shown before it takes the place of anything.
"""
