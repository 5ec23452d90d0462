"""What a rule posts beside its demands on single choices, one file each, with `post(model)`.

Demands (`fitsolver.choices.demands`) need no file: `posting.bind` posts them for every rule.
`build.POSTS`
names these; rules that a search for reasons looks away from are left out there.
"""
