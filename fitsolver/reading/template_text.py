"""The text of a new job file, with the places where a job's own figures go."""

from __future__ import annotations

from typing import Final

HEAD: Final = """\
# A job: what was measured, what fits are permitted, what is best. Fill in, then run
#   fitsolver bore THIS_FILE      the form of each bore
#   fitsolver pick THIS_FILE      parts, finish size, what is left
# All sizes and all metal to remove are on diameter. A bare number is in `units`; a text in quotes
# may carry its own unit: "12 thou", "5 um". A line that begins with # is a comment: take the
# mark away to use the key.
format = 1\t# every figure of the job stands in this file
name = {name}
# note = "what a reader should know"
units = {units}\t# mm, um, in, thou
{catalogue}\t# folder, relative to this file
{family}\t# refused when the catalogue is of another
# use = "street"\t# where makers state windows by use
# no_window = ["squish"]\t# fits left open by name
# accept = ["reading 1/8/thrust"]\t# doubts whose figures are right as they stand
# convention = "six readings"\t# form from six sizes; left out: "by axis"
# best = ["restored", "largest_removal", "total_removal", "filing", "price", "days", "part_number"]
#\t# what counts first, second, ...; this is the usual order
# wear_per_rebuild = "0.02 mm"\t# until the next rebuild, to count those left; cylinders too

[finish]
how = {how}\t# "piston in hand": the bore waits for measured pistons
#\t# "set size": machined while the parts are on their way
#\t# "already finished": choose parts only
# routes = ["glaze-break", "finish hone"]\t# of the catalogue; left out: all

[engine]
{stroke}
# pin_diameter = "16 mm"\t# a piston for another pin is refused
# displacement_limit = "125 cm3"\t# class or licence; also in3
# other_bores = []\t# bores of this engine that are not part of the job
{limits}
# rod_length = "110 mm"\t# for port timing; these three give squish from deck dimensions:
# deck_height = "173 mm"\t#   deck height - rod length - stroke / 2 + head step
# head_step = "0 mm"\t#   may be negative
# chamber_volume = "6.2 cm3"\t# above the crown at top dead centre, before: compression ratio

# [engine.rise]\t# kelvin above 20 °C when running, for the hot fits
# bore = 80
# piston = 90
# ring = 110
# bore_alloy = "grey_iron"
# piston_alloy = "al_a132"
# ring_alloy = "ductile_iron"

# [terms]
# order_date = 2027-03-01\t# dates stand without quotes
# needed_by = 2027-03-10\t# or needed_in_days = 9
# budget = "220.00"\t# in the catalogue's currency

# Windows come from the engine's or the part maker's own sheet: say which in `source`.
# A window with an empty figure is refused until it is filled in; a side that the sheet does not
# give: take its line out. Side clearance without a window: the ring goes in. `times = 1.25` with
# `of_groove = 1` in place of low and high: so many times the window of that groove.
[[window]]
fit = "clearance"\t# bore less skirt size
low = {low}
high = {high}
# service_high = "0.12 mm"\t# for a part that is kept (also service_low)
# per_bore = true\t# the edges are per unit of bore: 0.0012
# guard = "2 um"\t# given up on each side for what is not known
# aim = "5 um"\t# clearance: machined bores are aimed so far above `low`
# yields = true\t# a window that a part's maker states for it goes before this one
# source = "sheet and section"
"""

END_GAP: Final = """\
[[window]]
fit = "end_gap"\t# or ring_seat, side_clearance, port_timing, compression
{groove}
low = {low}
high = {high}
# source = "sheet and section"
"""

FORM: Final = """\
[[window]]
fit = "{fit}"\t# asked where a bore may be left as it is with new rings
high = {high}
# source = "sheet and section"
"""

TAIL: Final = """\
# [zone]\t# depths from the top face that rings and skirt sweep;
# top = {zone_top}\t#   readings outside it are the unworn reference
# bottom = {zone_bottom}

# [[port]]\t# readings in a port band are shown and do not decide
# name = "exhaust"\t# may have a window of its own: fit = "port_timing"
# top = "34 mm"
# bottom = "58 mm"
# decides = false

# [squish]\t# as measured before taking it apart; also [cylinder.squish]
# measured = "0.81 mm"
# old_gaskets = "0.75 mm"\t# their compressed thickness
# old_base_gaskets = "0.25 mm"\t# those of them under the cylinder: shift of port timing
# old_compression_height = "34 mm"

# [[window]]\t# with squish data: its window
# fit = "squish"
# low = ""\t# fill in
# high = ""\t# fill in
# source = "sheet and section"

# [[gasket_place]]\t# a place that takes `least` to `most` gaskets
# place = "head"
# least = 1
# most = 1
# shared = false\t# true: one stack for all cylinders

# [[in_hand]]\t# parts already there
# number = "a part number"
# count = 1
# size = "62.44 mm"\t# a measured piston: its skirt size
# mass = "199.3 g"
# gap = "0.25 mm"\t# a measured ring: its gap in a bore of gap_bore; this blade
# gap_next = "0.3 mm"\t#   goes, the next does not: the gap lies between
# gap_bore = "62.5 mm"
# kept = false\t# true: a used part, held to the service limits
# cylinder = "1"\t# reserved for it

# [[same_size]]\t# cylinders that take one oversize
# cylinders = ["1", "2"]

# [[mass_match]]\t# their pistons differ by at most `limit`
# cylinders = ["1", "2"]
# limit = "2 g"
# source = "sheet and section"

# [measuring]\t# how sure the figures are
# instruments = "everyday set"\t# or "fine set": ready-made figures
# setting = "micrometer"\t# the gauge was set in the piston's micrometer, or "master"
# decision = "guarded"\t# windows narrowed by what is not known; or "plain"
# factor = 1.645\t# standard uncertainties given up on each side,
# probability = 0.95\t#   or the probability wanted
# form_allowance = "2 um"\t# for larger places between the readings
# read_by = "first shift"\t# who read the bores

# [[instrument]]\t# figures of your own; they go before the ready-made ones
# kind = "bore gauge"\t# outside micrometer, bore gauge, setting master, feeler gauge
# name = "gauge 2"
# permissible_error = "3 um"\t# at most this wrong; or, from a certificate,
# standard_uncertainty = "1.5 um"\t#   half of its expanded uncertainty
# resolution = "1 um"\t# smallest step that is read
# repeatability = "1 um"\t# standard deviation of one reading
# reproducibility = "1 um"\t# of a bore gauge: standard deviation between people
# expansion = "11.5e-6"\t# per kelvin; left out: steel
# basis = "where the figures come from"

# [temperatures]\t# when measured; also [cylinder.temperatures]
# bore = 21.5\t# in °C, or "72 °F"; left out: 20
# piston = 20.5
# standard = 20.5\t# what the bore gauge was set in
# micrometer = 20.5
# uncertainty = 1\t# each may be this many kelvin off
# expansion_uncertainty = "10 %"\t# and every expansion this much
"""

CYLINDER: Final = """\
[[cylinder]]
name = {name}
material = {material}\t# of the bore, as the routes name it: iron, steel, plated
# marking = "pump 7, left"\t# your own for it, by which `fitsolver book` knows it
# scratch = "0.05 mm"\t# depth of the deepest scratch
# unworn = "62 mm"\t# unworn size, where no reading outside the zone tells
# earlier = [{{ date = 2017-09-02, left = "62 mm", found = "62.01 mm", uncertainty = "3 um" }}]
#\t# what it wore between rebuilds, to count those left
# bore_limit = "63.1 mm"\t# this cylinder's own; so with form_allowance, read_by, zone,
#\t#   [[cylinder.port]], [[cylinder.window]],
#\t#   [cylinder.squish], [cylinder.temperatures]
# routes = ["finish hone"]\t# this cylinder's own list
# route = "finish hone"\t# exactly this one
# piston = "a part number"\t# exactly this piston; measured: piston_size, piston_mass
# piston_size = "62.44 mm"
# piston_mass = "199.3 g"
# piston_kept = true\t# it stays in: the service limits hold for it
# rings = [{{ groove = 1, number = "a part number" }}]
# readings_as = "dial"\t# deviations from the zero; left out: diameters
# zero = {zero}\t# what the gauge was zeroed on: a size, or "piston" with
# zero_piston = {zero}\t#   the skirt size of the piston that the micrometer held
# readings_file = "readings.csv"\t# a sheet beside this file, in place of `readings`
# finished_size = {zero}\t# a finished bore, in place of readings
# finished_half_width = "0.005 mm"\t#   and how far local sizes may lie from it
# accept_outliers = true\t# take a reading that its neighbours contradict
readings = [\t# depth from the top face, axis, size; for example:
#  [{depth1}, "thrust", {size1}],
#  [{depth1}, "pin", {size2}],
#  [{depth2}, "thrust", {size3}],
#  [{depth2}, "pin", {size4}],
#  [{depth3}, "thrust", {size5}],
#  [{depth3}, 45, {size6}],         # an angle from the thrust axis, in whole degrees
]
"""
