"""What people do to a unit: each act looks at the unit as it is and proposes entries, or is refused.

Acts are pure. The store asks them again when somebody else wrote first, so a rule is never decided on an
old view.
"""
