"""Charts described once, in the terms of the data; app, paper and page draw the same one.

They stand in the exchange, because paper and app both may read them here, and because what they
show is put together from what the record says (`record.facts`), which the core does not know.

Read in this order: ``description`` (what a chart is made of), then what is shown: ``days`` (the
diary, a measure), ``hours`` (a day pattern, stiffness by the hour), ``changes`` (before and after
each change), ``pace`` (the pump against what it was told). ``placed`` and ``placed_shifts`` work
out lines, areas and words in any unit of length, the same for every view; ``svg`` draws them in a
web page, `papers.chart_drawing` on paper and `app.parts.chart` on the screen.
"""
