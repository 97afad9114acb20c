"""One refill's numbers against each other, before leaving the room.

Read in this order:

``residual``          what was left over and what went in, against published limits
``withdrawn_check``   the same with what earlier refills taught, in sentences
``plausibility``      amounts that are unusual in print
``refill_input``      one refill as entered, and the alarm date that follows from it
``single_changes``    the slips people make, each one field changed
``candidate_errors``  which single wrong number would explain a printed alarm date
``visit_check``       all of it for one visit, in sentences
"""
