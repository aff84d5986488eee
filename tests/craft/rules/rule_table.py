"""Every rule of the table with two piece files that differ in one fact."""

from __future__ import annotations

from rule_pieces import Pair, coat, jar, piece

WHITE = jar("white", family="white")
BLUE = jar("blue")
HARD = jar("hard", maturity=850)
SOFT = jar("soft", maturity=760)
FLUX = jar("flux", kind="flux", family="clear")
BACK = coat("back", "white", "powder_depth_mm = 0.85")
FRONT = coat("front", "white", "powder_depth_mm = 0.6")
TOP = coat("front", "blue", "powder_depth_mm = 0.4")
PLAIN = piece(WHITE, BACK, FRONT)
TWO = piece(WHITE, BLUE, BACK, FRONT, TOP)
WIRE = """
[[wires]]
metal = "fine silver"
height_mm = 0.8
thickness_mm = 0.2
after_coat = 1
glass_below = true
"""
CLOISONNE = piece(
    WHITE, FLUX, WIRE, BACK, coat("front", "flux", "powder_depth_mm = 0.3"), coat("front", "white", 'fill = "to level"\nmethod = "wet-pack"'),
    technique="cloisonne_copper",
)  # fmt: skip
GOLD_WIRE = CLOISONNE.replace("fine silver", "fine gold").replace('fill = "to level"', 'fill = "to level"\nset_c = 905')
RECESS = "\n[recess]\ndepth_mm = 0.8\nline_mm = 1.0\n"
FILL = coat("front", "white", 'fill = "to level"\nmethod = "wet-pack"')
CHAMPLEVE = piece(WHITE, RECESS, FILL, thickness=2.0, technique="champleve")
FOIL = '\n[[foils]]\nmetal = "fine silver"\npierced = true\nafter_coat = 1\n'
FOILED = piece(WHITE, BLUE, FOIL, BACK, FRONT, TOP, technique="foil")
GRISAILLE = piece(
    jar("black", family="black", maturity=810), jar("paint", kind="painting", family="white", maturity=770),
    coat("back", "black", "powder_depth_mm = 0.6"), coat("front", "black", "powder_depth_mm = 0.3\nset_c = 800"),
    coat("front", "paint", 'powder_depth_mm = 0.08\nmethod = "paint"\nset_c = 790'),
    thickness=0.5, technique="grisaille", top="dome_mm = 3",
)  # fmt: skip


def habits(line: str) -> str:
    """Write the firing table."""
    return f"\n[firing]\n{line}\n"


def use(line: str) -> str:
    """Write what becomes of the piece."""
    return f"\n[use]\n{line}\n"


def so_far(line: str) -> str:
    """Write the state of the piece."""
    return f"\n[so_far]\n{line}\n"


FIRED = "\nfired = true"
OLD_BACK = coat("back", "white", "powder_depth_mm = 0.85" + FIRED)
OLD_FRONT = coat("front", "white", "powder_depth_mm = 0.6" + FIRED)
STEEL = piece(jar("ground", kind="ground", family="black"), jar("cover", kind="opaque"), coat("back", "ground", ""),
              coat("front", "ground", ""), coat("front", "cover", ""), kind="enamelling steel", thickness=1.0, technique="steel")  # fmt: skip
STERLING = piece(WHITE, BACK, FRONT, habits("set_c = 730"), kind="sterling", metal="depletion_cycles = 6")
SOLDERED = "\n[[metal.solder]]\nflow_c = 850\nname = 'hard'\nplace = 'away from enamel'\nafter_enamel = false\n"
LUMPS = jar("lump", kind="placed")
PICKLED = piece(jar("white", acid="yes"), BLUE, BACK, FRONT, TOP, habits("pickle = true")).replace(
    'acid_resistant = "yes" }\n\n[[jars]]', 'acid_resistant = "yes"}\n\n[[jars]]')  # fmt: skip
ROSE = jar("rose", kind="transparent", family="pink").replace("synthetic", "gold_bearing = true\nsynthetic")
GOLD_HOT = piece(WHITE, ROSE, BACK, coat("front", "white", "powder_depth_mm = 0.6\nset_c = 790"),
                 coat("front", "rose", "powder_depth_mm = 0.3\nset_c = 788"))  # fmt: skip
GOLD_EARLY = piece(WHITE, ROSE, BLUE, BACK, coat("front", "white", "powder_depth_mm = 0.6\nset_c = 790"),
                   coat("front", "rose", "powder_depth_mm = 0.3\nset_c = 789"),
                   coat("front", "blue", "powder_depth_mm = 0.2\nset_c = 792\nshare = 0.3"))  # fmt: skip
CELLS = piece(WHITE, RECESS, '\n[[cells]]\nname = "leaf"\nshare = 0.4\n', FILL, thickness=2.0, technique="champleve")

PAIRS: tuple[Pair, ...] = (
    Pair("ORD-HARD", "stop", piece(HARD, WHITE, BACK, coat("front", "hard"), TOP.replace("blue", "white")),
         "maturity_c = 850", "maturity_c = 760"),
    Pair("ORD-EXP", "stop", piece(WHITE, BLUE.replace("= 105", "= 106"), BACK, FRONT, TOP),
         "value_e7_per_k = 106", "value_e7_per_k = 112"),
    Pair("EXP-UNK", "note", PLAIN, 'kind = "linear"', 'kind = "unknown"'),
    Pair("ORD-LEAD", "stop", piece(WHITE, jar("amber", lead="no"), BLUE, BACK, coat("front", "amber", "powder_depth_mm = 0.5"), TOP),
         'kind = "opaque"\nsynthetic = true\nglass = { expansion = { value_e7_per_k = 105, kind = "linear", basis = "measured", '
         'low_c = 20, high_c = 300 } }\nfusing = { maturity_c = 790 }\noptics = { family = "blue" }\nhazards = { lead = "no", '
         'cadmium = "no", acid_resistant = "yes" }\n\n[[jars]]\nid = "blue"',
         'kind = "opaque"\nsynthetic = true\nglass = { expansion = { value_e7_per_k = 105, kind = "linear", basis = "measured", '
         'low_c = 20, high_c = 300 } }\nfusing = { maturity_c = 790 }\noptics = { family = "blue" }\nhazards = { lead = "yes", '
         'cadmium = "no", acid_resistant = "yes" }\n\n[[jars]]\nid = "blue"'),
    Pair("ORD-LEAD-UNK", "note", piece(WHITE, BLUE.replace('lead = "no"', 'lead = "no" '), BACK, FRONT, TOP),
         'lead = "no" ,', 'lead = "unknown",'),
    Pair("ORD-CAP", "stop", piece(WHITE, jar("amber", lead="yes"), BLUE, OLD_BACK, coat("front", "amber", "powder_depth_mm = 0.5" + FIRED), TOP,
                                  so_far('firings = 3\nfault = "dull"')),
         'fault = "dull"', 'fault = "cracks along the wires"'),
    Pair("BAR-WARM", "stop", piece(WHITE, jar("red", family="blue"), BACK, coat("front", "red")), 'family = "blue"', 'family = "red"'),
    Pair("BAR-WARM-AG", "watch", piece(jar("counter", kind="counter"), jar("white", family="grey"), coat("back", "counter"), FRONT, kind="fine silver"),
         'family = "grey"', 'family = "white"'),
    Pair("FLUX-CU", "watch", piece(WHITE, FLUX, BACK, coat("front", "flux", 'powder_depth_mm = 0.3\ntarget = "cleared"')),
         'target = "cleared"', 'target = "gloss"'),
    Pair("FLUX-AG", "watch", piece(WHITE, FLUX, BACK, coat("front", "flux", "powder_depth_mm = 0.3\nset_c = 770"), kind="fine silver"),
         "set_c = 770", "set_c = 810"),
    Pair("GOLD-TIME", "note", piece(WHITE, jar("rose", kind="transparent", family="pink").replace("synthetic", "gold_bearing = true\nsynthetic"),
                                    OLD_BACK, OLD_FRONT, coat("front", "rose", "powder_depth_mm = 0.3"), so_far('firings = 3\nfault = "dull"')),
         'fault = "dull"', 'fault = "cloudy"'),
    Pair("WASH", "watch", piece(WHITE, jar("clear", kind="transparent") + "stock = { washed = true }\n", BACK, FRONT, coat("front", "clear", "powder_depth_mm = 0.3")),
         "washed = true", "washed = false"),
    Pair("CON-AGCU", "stop", CLOISONNE, "glass_below = true", "glass_below = false"),
    Pair("CON-AGCU", "stop", FOILED, "after_coat = 1", "after_coat = 0"),
    Pair("CON-AUCU", "stop", GOLD_WIRE, "glass_below = true", "glass_below = false"),
    Pair("ALLOY-STER-A", "watch", STERLING, "set_c = 730", "set_c = 770"),
    Pair("ALLOY-STER-R", "stop", STERLING, "set_c = 730", "set_c = 816"),
    Pair("ALLOY-SOLIDUS", "stop", piece(WHITE, BACK, FRONT, habits("set_c = 790"), kind="fine silver"), "set_c = 790", "set_c = 965"),
    Pair("ALLOY-SOLIDUS", "watch", piece(WHITE, BACK, FRONT, habits("set_c = 790"), kind="fine silver"), "set_c = 790", "set_c = 905"),
    Pair("ALLOY-DEPLETE", "watch", STERLING, "depletion_cycles = 6", "depletion_cycles = 2"),
    Pair("ALLOY-ZINC", "stop", PLAIN, 'kind = "copper"', 'kind = "brass"'),
    Pair("ALLOY-CAUTION", "note", PLAIN, 'kind = "copper"', 'kind = "gilding metal"'),
    Pair("ALLOY-SOLDER", "stop", piece(WHITE, BACK, FRONT, metal="").replace("\n[outline]", SOLDERED + "\n[outline]"), "flow_c = 850", "flow_c = 780"),
    Pair("SOLDER-AFTER", "stop", piece(WHITE, BACK, FRONT).replace("\n[outline]", SOLDERED + "\n[outline]"), "after_enamel = false", "after_enamel = true"),
    Pair("STEEL-GROUND", "stop", STEEL, 'kind = "ground"', 'kind = "opaque"'),
    Pair("DEPTH-LOW", "watch", PLAIN, "powder_depth_mm = 0.6", "powder_depth_mm = 0.3"),
    Pair("DEPTH-HIGH", "watch", PLAIN, "powder_depth_mm = 0.6", "powder_depth_mm = 1.2"),
    Pair("GLASS-HALF", "watch", TWO.replace("0.4", "0.25"), "powder_depth_mm = 0.25", "powder_depth_mm = 1.2"),
    Pair("GLASS-HALF", "note", TWO.replace("0.4", "0.25"), "powder_depth_mm = 0.25", "powder_depth_mm = 0.5"),
    Pair("GLASS-PAINT", "note", GRISAILLE, "thickness_mm = 0.5", "thickness_mm = 0.3"),
    Pair("PAINT-THICK", "watch", GRISAILLE.replace("grisaille", "limoges"), "thickness_mm = 0.5", "thickness_mm = 1.0"),
    Pair("GUM", "note", piece(WHITE, BACK, coat("front", "white", "powder_depth_mm = 0.6\nhold = { kind = 'gum', ratio = 0.2 }")), "ratio = 0.2", "ratio = 1.0"),
    Pair("COUNTER-NEED", "stop", piece(WHITE, FRONT, thickness=1.2), "thickness_mm = 1.2", "thickness_mm = 0.8"),
    Pair("COUNTER-MAYBE", "watch", piece(WHITE, FRONT, thickness=1.6), "thickness_mm = 1.6", "thickness_mm = 1.2"),
    Pair("COUNTER-BARE", "note", piece(WHITE, coat("front", "white", "fired_thickness_mm = 0.35"), thickness=1.2), "thickness_mm = 1.2\n\n", "thickness_mm = 2.0\n\n"),
    Pair("COUNTER-BARE-HI", "watch", piece(WHITE, coat("front", "white", "fired_thickness_mm = 0.35"), thickness=2.0), "fired_thickness_mm = 0.35", "fired_thickness_mm = 0.55"),
    Pair("BALANCE", "watch", TWO.replace("0.85", "0.5"), "powder_depth_mm = 0.4", "powder_depth_mm = 0.9"),
    Pair("BACK-RATIO", "note", PLAIN, "powder_depth_mm = 0.85", "powder_depth_mm = 0.45"),
    Pair("WARP-BACK", "watch", piece(WHITE, BACK, OLD_FRONT, so_far("firings = 1\nbow_mm = 0")), "bow_mm = 0", "bow_mm = 0.4"),
    Pair("WARP-BACK", "watch", piece(WHITE, BACK, OLD_FRONT, so_far("firings = 1\nbow_mm = 0")), "\nbow_mm = 0", ""),
    Pair("WARP-BACK", "watch", piece(WHITE, BACK, OLD_FRONT, so_far("firings = 1\npressed_flat = true")), "\npressed_flat = true", ""),
    Pair("WARP-BACK", "watch", piece(WHITE, BACK, FRONT.rstrip() + "\nfired = false\n", so_far("firings = 1")), "fired = false", "fired = true"),
    Pair("PLIQUE", "stop", piece(WHITE, BACK, FILL, RECESS, technique="champleve"), 'technique = "champleve"', 'technique = "plique_open"'),
    Pair("SIDE-1", "note", piece(WHITE, jar("first", kind="opaque").replace("opaque", "opal"), BACK, coat("front", "first", "powder_depth_mm = 0.3")), 'kind = "opal"', 'kind = "flux"'),
    Pair("SIDE-2", "note", piece(WHITE, jar("first", kind="flux"), BACK, coat("front", "first", "powder_depth_mm = 0.3")), 'kind = "flux"', 'kind = "opal"'),
    Pair("SIDE-3", "note", PLAIN, 'technique = "sift_opaque"', 'technique = "limoges"'),
    Pair("SIDE-4", "note", PLAIN, "thickness_mm = 0.9", "thickness_mm = 0.5"),
    Pair("SIDE-5", "note", piece(WHITE, FRONT, thickness=1.2), "thickness_mm = 1.2", "thickness_mm = 2.0"),
    Pair("DRY", "stop", piece(WHITE, BACK, coat("front", "white", "powder_depth_mm = 0.6\ndried_min = 5")), "dried_min = 5", "dried_min = 1"),
    Pair("PICKLE-ACID", "stop", PICKLED, 'acid_resistant = "yes"}', 'acid_resistant = "no"}'),
    Pair("PICKLE-ACID", "watch", PICKLED, 'acid_resistant = "yes"}', 'acid_resistant = "unknown"}'),
    Pair("PICKLE-ACID", "watch", PICKLED, 'acid_resistant = "yes"}', 'acid_resistant = "mixed"}'),
    Pair("PICKLE-ACID", "watch", PICKLED.replace('"yes"}', '"unknown"}').replace("pickle = true", "pickle = false"), "pickle = false", "pickle = true"),
    Pair("EDGE-CLEAN", "watch", piece(WHITE, BACK, FRONT, habits("edges_cleaned = true")), "edges_cleaned = true", "edges_cleaned = false"),
    Pair("CRACK-NOW", "watch", piece(WHITE, BLUE, OLD_BACK, OLD_FRONT, TOP, so_far('firings = 2\nfault = "dull"')), 'fault = "dull"', 'fault = "hairline"'),
    Pair("STAGE-CAP", "watch", piece(WHITE, BLUE, BACK, coat("front", "white", "powder_depth_mm = 0.6\ncap_c = 800"),
                                     coat("front", "blue", "powder_depth_mm = 0.4\nset_c = 790")), "set_c = 790", "set_c = 820"),
    Pair("HEAT-BUDGET", "stop", piece(jar("white", more=", firings = 5"), BLUE, BACK, FRONT, TOP), "firings = 5", "firings = 1"),
    Pair("WARM-LAST", "watch", piece(WHITE, jar("first", family="blue").replace('family = "blue"', 'family = "blue" '), BACK, FRONT,
                                     coat("front", "first", "powder_depth_mm = 0.2"), coat("front", "white", "powder_depth_mm = 0.1\nshare = 0.2"),
                                     coat("front", "white", "powder_depth_mm = 0.1\nshare = 0.3")), 'family = "blue" ', 'family = "red"'),
    Pair("GOLD-LAST", "watch", GOLD_EARLY, "set_c = 792", "set_c = 830"),
    Pair("GOLD-LAST", "watch", GOLD_HOT, "set_c = 788", "set_c = 830"),
    Pair("GOLD-LAST", "watch", GOLD_HOT.replace("set_c = 788", "set_c = 830").replace("gold_bearing = true", "gold_bearing = false").replace('"pink"', '"blue"'),
         "gold_bearing = false", "gold_bearing = true"),
    Pair("GOLD-LAST", "note", GOLD_HOT.replace("set_c = 788", "set_c = 830").replace("gold_bearing = true\n", "").replace('"pink"', '"purple"'),
         '"purple"', '"red"'),
    Pair("GRIS-FALL", "watch", GRISAILLE, "set_c = 790", "set_c = 815"),
    Pair("HIGH-FIRE", "watch", piece(WHITE, BACK, FRONT, habits("set_c = 800")), "set_c = 800", "set_c = 930"),
    Pair("HEAT-HELD", "watch", piece(WHITE, BACK, FRONT, kind="sterling", metal="depletion_cycles = 6").replace("maturity_c = 790", "maturity_c = 765"),
         "maturity_c = 765", "maturity_c = 800"),
    Pair("HEAT-HELD", "watch", piece(WHITE, BACK, coat("front", "white", "powder_depth_mm = 0.6\ncap_c = 800"), TOP, BLUE), "cap_c = 800", "cap_c = 740"),
    Pair("MATURITY-ODD", "note", PLAIN, "maturity_c = 790", "maturity_c = 640"),
    Pair("MATURITY-ODD", "note", PLAIN, "maturity_c = 790", "maturity_c = 920"),
    Pair("START", "stop", piece(WHITE, BACK, FRONT, habits('seconds_s = 150\nstart = "load"')), 'start = "load"', 'start = "unknown"'),
    Pair("FIRST-O", "stop", piece(WHITE, BLUE, BACK, coat("front", "white", 'powder_depth_mm = 0.6\ntarget = "orange peel"'), TOP), 'target = "orange peel"', 'target = "sugar"'),
    Pair("FOIL-PIERCE", "stop", FOILED, "pierced = true", "pierced = false"),
    Pair("LUMP-RECESS", "stop", piece(LUMPS, WHITE, RECESS, FILL, coat("front", "lump", 'fired_thickness_mm = 0.1\nmethod = "place"\nshare = 0.1'), thickness=2.0, technique="champleve"),
         "depth_mm = 0.8", "depth_mm = 0.6"),
    Pair("RECESS-WHOLE", "note", CELLS, '[[cells]]\nname = "leaf"\nshare = 0.4\n', ""),
    Pair("ETCH-MIN", "note", CHAMPLEVE, "depth_mm = 0.8", "depth_mm = 0.4"),
    Pair("ETCH-LINE", "watch", CHAMPLEVE, "line_mm = 1.0", "line_mm = 0.5"),
    Pair("FILLS", "note", CHAMPLEVE.replace('fill = "to level"', 'fill = "to level"\ntimes = 5'), "times = 5", "times = 2"),
    Pair("SUPPORT-WET", "stop", piece(WHITE, BACK, FRONT, habits('both_at_once = true\ncontact = "rim"')), 'contact = "rim"', 'contact = "under enamel"'),
    Pair("SUPPORT-POINT", "watch", piece(WHITE, BACK, FRONT, habits('contact = "rim"')), 'contact = "rim"', 'contact = "under enamel"'),
    Pair("SUPPORT-SPAN", "watch", piece(WHITE, BACK, FRONT, habits("middle_support = true"), size=180, thickness=1.6), "middle_support = true", "middle_support = false"),
    Pair("SUPPORT-SPAN", "note", piece(WHITE, BACK, FRONT, habits("middle_support = true"), size=180, thickness=1.6), "middle_support = true", ""),
    Pair("SUPPORT-SPAN", "watch", piece(WHITE, BACK, FRONT, habits("middle_support = false"), size=140, thickness=1.6), "diameter_mm = 140", "diameter_mm = 160"),
    Pair("COOL-LIFT", "watch", piece(WHITE, BACK, FRONT, habits("lift_after_min = 10")), "lift_after_min = 10", "lift_after_min = 1"),
    Pair("JAR-WEAR", "stop", piece(jar("white", cadmium="no"), BACK, FRONT, use('worn = true\nskin = "back"')), 'cadmium = "no"', 'cadmium = "yes"'),
    Pair("JAR-WEAR", "note", piece(jar("white", cadmium="no"), BACK, FRONT, use('worn = true\nskin = "back"')), 'cadmium = "no"', 'cadmium = "unknown"'),
    Pair("JAR-WEAR", "watch", piece(jar("white"), BACK, FRONT, use("child = true")), 'lead = "no"', 'lead = "unknown"'),
    Pair("JAR-WEAR", "watch", piece(jar("white", lead="unknown"), BACK, FRONT, use("child = false")), "child = false", "child = true"),
    Pair("JAR-WEAR", "stop", piece(jar("white"), BACK, FRONT, use("child = true")), 'lead = "no"', 'lead = "mixed"'),
    Pair("CLASS-PBCD", "stop", piece(jar("white"), BACK, FRONT, use("class_evening = true")), 'cadmium = "no"', 'cadmium = "mixed"'),
    Pair("LEAD-RECORD", "note", piece(jar("white"), BACK, FRONT, use("for_sale = true")), 'lead = "no"', 'lead = "yes"'),
    Pair("FOOD", "stop", piece(jar("white"), BACK, FRONT, use("food = true")), 'lead = "no"', 'lead = "yes"'),
    Pair("FOOD", "stop", piece(jar("white"), BACK, FRONT, use("food = true")), 'cadmium = "no"', 'cadmium = "mixed"'),
    Pair("FOOD", "watch", piece(jar("white"), BACK, FRONT, use("food = true")), 'lead = "no"', 'lead = "unknown"'),
    Pair("FOOD", "watch", piece(jar("white"), BACK, FRONT, use("food = true")), 'cadmium = "no"', 'cadmium = "unknown"'),
    Pair("FOOD", "watch", piece(jar("white", lead="unknown"), BACK, FRONT, use("food = false")), "food = false", "food = true"),
    Pair("FLANGE", "watch", piece(WHITE, BACK, FRONT, use('set_in = "bezel"\nflange_mm = 0.9')), "flange_mm = 0.9", "flange_mm = 0.4"),
    Pair("LID", "note", piece(WHITE, BACK, FRONT, use("lid = true\nclearance = 0.06")), "clearance = 0.06", "clearance = 0.01"),
)  # fmt: skip
