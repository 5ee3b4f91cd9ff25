"""Makes the faces of numbers from Inter: its digits of equal width (feature tnum) become the plain ones.

Run in this folder with fonttools 4.68; the results are committed. The name is another one, as the licence asks of a
modified version.
"""
from fontTools import subset
from fontTools.ttLib import TTFont

SIGNS = {*range(0x20, 0x17F), *(ord(c) for c in "−–—·×÷±≤≥≈→←↔°²³⁻⁰¹⁴⁵⁶⁷⁸⁹₀₁₂½¼¾µπωΔ√‰…“”‘’⅓")}

for weight in ("Regular", "SemiBold"):
    font = TTFont(f"Inter-{weight}.otf")
    table = font["GSUB"].table
    lookups = {i for f in table.FeatureList.FeatureRecord if f.FeatureTag == "tnum" for i in f.Feature.LookupListIndex}
    equal = {}
    for index in lookups:
        for part in table.LookupList.Lookup[index].SubTable:
            equal.update(getattr(getattr(part, "ExtSubTable", part), "mapping", {}))
    for cmap in font["cmap"].tables:
        for code in list(cmap.cmap):
            if chr(code).isascii() and chr(code).isdigit():
                cmap.cmap[code] = equal.get(cmap.cmap[code], cmap.cmap[code])
    for record in font["name"].names:
        if record.nameID in (1, 16):
            record.string = "Washboard Numbers"
        elif record.nameID in (3, 4, 6):
            record.string = f"WashboardNumbers-{weight}"
    options = subset.Options(layout_features=[], name_IDs=["*"], glyph_names=False, desubroutinize=True)
    options.drop_tables += ["GSUB", "GPOS", "GDEF", "DSIG"]
    reducer = subset.Subsetter(options)
    reducer.populate(unicodes=SIGNS)
    reducer.subset(font)
    cff = font["CFF "].cff
    cff.fontNames[0] = f"WashboardNumbers-{weight}"
    top = cff.topDictIndex[0]
    top.FamilyName, top.FullName = "Washboard Numbers", f"Washboard Numbers {weight}"
    font.save(f"WashboardNumbers-{weight}.otf")
