"""Statistics in plain Python; nothing here knows of pumps or diaries.

``student_t``           Student's distribution
``ranks``               midranks, medians, Theil and Sen's slope
``effective_sample``    what likeness of neighbours leaves of a number of days
``rank_test``           the shift between two groups, with its interval (Mann and Whitney)
``linear_trend``        a least-squares line with its error
``interrupted_series``  a level change beside a trend that was there before
``censored``            what "at least this much" says of a normal quantity
"""
