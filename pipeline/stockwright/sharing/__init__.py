"""Recipes sent from one shop to another.

In: a recipe with its parents, its page and an example, or a parcel of them. Out: a parcel, or a folder.
Promise: only documents travel, never code and never a shop's own figures; what arrives is bounded in size,
checked against its digests, and shown before it replaces anything.
"""
