"""The sources that the guide names; titles stay in their own language."""

from __future__ import annotations

GUM = "JCGM 100:2008 (GUM)"
GUM_BUDGET = "JCGM 100:2008 (GUM), 5.1; 4.3.7"
ACCURACY = "ISO 5725-2:1994"
CONSISTENCY = "ISO 5725-2:1994, 7.3; ASTM E691"
FIELLER = "E. C. Fieller, J. R. Stat. Soc. B 16 (1954) 175"
DEMONSTRATIONS = "University of Sydney, shot tube; University of Iowa, demonstration 4B60.10"
MIXTURE = "G. E. P. Box, G. C. Tiao, Biometrika 55 (1968) 119"
RANDOM_EFFECTS = (
    "R. C. Paule, J. Mandel, J. Res. NBS 87 (1982) 377; G. Knapp, J. Hartung, Stat. Med. 22 (2003) 2693"
)
CONTROL_CHART = "ISO 7870-2:2013; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2"
MANY_AT_ONCE = "S. Holm, Scand. J. Stat. 6 (1979) 65"
ROBUST = "B. Iglewicz, D. C. Hoaglin (1993)"
DESIGN = "G. Elfving, Ann. Math. Stat. 23 (1952) 255"
EARTH = "NIMA TR8350.2 (WGS 84)"
ICE = "SI Brochure, 9th ed., 2.3.1"
LINES = "D. York et al., Am. J. Phys. 72 (2004) 367"
INFLUENCE = "R. D. Cook, Technometrics 19 (1977) 15"
