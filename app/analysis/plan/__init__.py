"""From the kit at hand to a plan for every bench, and what the plan will give.

`kit` says what there is, `kit_limits` what it allows, `proposal` shares it out, `prediction` tells the widths
to expect. Nothing here has seen a reading. A plan that cannot be is refused with a sentence; one beyond the
kit is only warned about.
"""
