"""The cautions that are printed once in every file."""

CAUTIONS = (
    "Measure the test square on this page, both ways, before you cut anything. Print at 100 %, never 'fit to page'.",
    "Try every gauge and every template on the boat and on an offcut of the real stock. The wood has the last word.",
    "Edge tools and machines maim: sharp tools, guards in place, hands behind the edge, the work held fast.",
    "Wood dust, glues and resins harm lungs, skin and eyes: extract dust, ventilate, and follow the makers' sheets.",
    "Nothing here computes strength, stability or buoyancy. For these follow local codes, class rules, published "
    "standards (for small craft ISO 12215-5 and ISO 12217) and licensed practice.",
    "People trust their lives to boats. Have a new design looked over by a competent designer before you build.",
)
