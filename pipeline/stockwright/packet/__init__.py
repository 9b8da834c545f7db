"""pack: everything known of a job -> a packet folder.

In: facts, texts, the proof. Out: packet.json, sheet.html, sheet.pdf, playback.html and programs. Promise:
whole or not at all; equal bytes for equal inputs; nothing of the user's is replaced without their word.
"""
