"""Printed words → analyte, form, unit, method; and what must never be taken for a result.

``headings.csv`` holds headings in English, German, French and Spanish with what each was read by hand to
mean. They are general usage, from memory, except abbreviations that the N.C. Dept. of Agriculture, Virginia
Tech and the Univ. of Minnesota explain.
"""

import csv
import string
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from soiltrend.data import load_toml
from soiltrend.errors import SoiltrendError
from soiltrend.units import to_canonical, units
from soiltrend.vocabulary import (
    analyte,
    analytes,
    find_methods,
    match_analyte,
    match_method,
    match_unit,
    methods,
)

TABLE = Path(__file__).parent / "headings.csv"
HEADINGS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))

# These names are promised to other programs: never rename one.
FIXED_ANALYTES = [
    "organic_matter",
    "organic_carbon",
    "ph",
    "buffer_ph",
    "cec",
    "phosphorus",
    "potassium",
    "calcium",
    "magnesium",
    "sodium",
    "sulfur",
    "zinc",
    "iron",
    "manganese",
    "copper",
    "boron",
    "aluminum",
    "nitrate_n",
    "ammonium_n",
    "total_n",
    "soluble_salts",
    "base_saturation_k",
    "base_saturation_ca",
    "base_saturation_mg",
    "base_saturation_na",
    "base_saturation_h",
    "exchangeable_acidity",
    "bulk_density",
    "sand",
    "silt",
    "clay",
    "lead",
    "arsenic",
    "cadmium",
]
FIXED_METHODS = [
    "loss_on_ignition",
    "walkley_black",
    "dry_combustion",
    "bray_p1",
    "bray_p2",
    "olsen",
    "mehlich_1",
    "mehlich_3",
    "morgan",
    "modified_morgan",
    "ammonium_acetate",
    "ab_dtpa",
    "cal",
    "water",
    "water_1_1",
    "water_1_2",
    "cacl2",
    "kcl",
    "saturated_paste",
    "summation",
    "smp",
    "sikora",
    "mehlich_buffer",
    "adams_evans",
    "dtpa",
    "hot_water",
    "water_1_5",
    "joret_hebert",
    "dyer",
]


@pytest.mark.parametrize("name", FIXED_ANALYTES)
def test_every_promised_analyte_is_there_with_a_known_unit_and_sane_limits(name: str) -> None:
    known = analyte(name)
    assert known.label
    assert known.symbol
    assert known.source
    assert known.unit in units()
    low, high = known.impossible
    assert low <= known.suspicious[0] < known.suspicious[1] <= high
    assert 0 <= known.decimals <= 3


@pytest.mark.parametrize("name", FIXED_METHODS)
def test_every_promised_method_is_there(name: str) -> None:
    assert methods()[name].label
    assert methods()[name].applies <= analytes().keys()


def test_raw_scale_is_for_ph_saturations_and_texture_only() -> None:
    raw = {name for name, known in analytes().items() if known.scale == "raw"}
    assert raw == {n for n in analytes() if n.startswith(("base_saturation", "ph", "buffer"))} - {
        "phosphorus"
    } | {"sand", "silt", "clay"}


def test_an_unknown_analyte_names_the_nearest() -> None:
    with pytest.raises(SoiltrendError, match=r"found 'potasium'.*potassium"):
        analyte("potasium")


def test_the_heading_table_is_large_and_has_no_duplicates() -> None:
    assert len(HEADINGS) >= 300
    assert len({row["heading"] for row in HEADINGS}) == len(HEADINGS)


@pytest.mark.parametrize("row", HEADINGS, ids=lambda row: row["heading"])
def test_a_heading_gives_analyte_form_unit_and_method(row: dict[str, str]) -> None:
    match = match_analyte(row["heading"])
    assert match is not None
    found = (match.analyte, match.form, match.unit, match.method, "weak" if match.weak else "")
    assert found == (row["analyte"], row["form"], row["unit"], row["method"], row["weak"])
    assert match.is_result
    assert match.exact


@pytest.mark.parametrize(
    ("heading", "changed"),
    [
        ("Phosphorus (Bray P1) ppm", str.upper),
        ("Organic Matter (LOI) %", str.lower),
        ("matière organique", lambda text: text.replace("è", "e")),
        ("Soluble Salts mmhos/cm", lambda text: text.replace(" ", "_")),
        ("Buffer pH", lambda text: f"  {text}: "),
        ("Calcium ppm", lambda text: text.replace(" ", "\n")),
        ("Magnesium (ppm)", lambda text: text + "*"),
        ("Magnesium ppm", lambda text: text.replace("nes", "nes-\n")),
        ("pH (CaCl2)", lambda text: text.replace("2", "₂")),
        ("Zinc ppm", lambda text: text.replace(" ", " ")),
        ("K2O mg/100g", lambda text: text.replace("K2O", "K₂O")),
    ],
)
def test_case_accents_punctuation_and_blanks_do_not_matter(heading: str, changed: object) -> None:
    plain = match_analyte(heading)
    other = match_analyte(changed(heading))  # type: ignore[operator]
    assert plain is not None
    assert other is not None
    assert (other.analyte, other.form, other.unit, other.method) == (
        plain.analyte,
        plain.form,
        plain.unit,
        plain.method,
    )


@pytest.mark.parametrize(
    ("heading", "kind", "name"),
    [
        ("P2O5 lb/A recommended", "recommendation", "phosphorus"),
        ("P2O5 lb/A", "recommendation", "phosphorus"),
        ("K2O lb/1000 ft2", "recommendation", "potassium"),
        ("lb N/acre", "recommendation", "total_n"),
        ("Lime requirement t/ha", "recommendation", ""),
        ("K2O Empfehlung kg/ha", "recommendation", "potassium"),
        ("P2O5 conseil", "recommendation", "phosphorus"),
        ("Dosis de N kg/ha", "recommendation", "total_n"),
        ("Crop removal", "recommendation", ""),
        ("N-P2O5-K2O recommended", "recommendation", ""),
        ("K rating", "rating", "potassium"),
        ("K level", "rating", "potassium"),
        ("Gehaltsklasse", "rating", ""),
        ("Ca:Mg", "ratio", ""),
        ("C/N-Verhältnis", "ratio", ""),
        ("Rapport C/N", "ratio", ""),
        ("K/Mg", "ratio", ""),
        ("optimum range", "range", ""),
        ("P optimum range ppm", "range", "phosphorus"),
        ("Target pH", "range", "ph"),
        ("Souhaitable", "range", ""),
        ("P index", "index", "phosphorus"),
        ("P-I", "index", "phosphorus"),
        ("ENR", "estimate", ""),
        ("Estimated Nitrogen Release lb/A", "estimate", ""),
        ("TDS", "estimate", ""),
        ("P last year", "previous", "phosphorus"),
        ("Vorjahr", "previous", ""),
        ("Average OM", "summary", "organic_matter"),
        ("HM%", "other", ""),
        ("Active carbon", "other", ""),
        ("W/V", "other", ""),
        ("SAR", "other", ""),
        ("P saturation", "other", ""),
        ("Organic N", "other", ""),
        ("Calcaire actif", "other", ""),
        ("Texture", "other", ""),
        ("Ca+Mg", "other", ""),
        ("Sand/Silt/Clay", "other", ""),
        ("Phosphate", "ambiguous", "phosphorus"),
        ("Nitrogen", "ambiguous", "total_n"),
        ("N", "ambiguous", "total_n"),
        ("Carbon", "ambiguous", "organic_carbon"),
        ("P ppm lbs/A", "ambiguous", "phosphorus"),
        ("OM lb/A", "ambiguous", "organic_matter"),
        ("pH ppm", "ambiguous", "ph"),
        ("Al %", "ambiguous", "aluminum"),
    ],
)
def test_what_is_near_a_result_and_is_none_says_why(heading: str, kind: str, name: str) -> None:
    match = match_analyte(heading)
    assert match is not None
    assert (match.kind, match.analyte) == (kind, name)
    assert not match.is_result
    assert match.why
    assert match.exact <= (kind not in {"previous", "summary", "other", "ambiguous"})


ORDINARY = """No|As|In|Co|At|is|a|to|Sample|Sample ID|Lab No|Field|Bed|Bed S|B bed|Plot B|A|M|L|VH|Low|High
Very High|Date|Depth|Page 2|Report|Crop|Tomato|Zinc Street|Clay Lane|Sandy|Sand Hill Farm|Lead time
Limestone|Lime|Gypsum|Calcium nitrate|Potassium chloride|Ammonium sulfate|Magnesium sulfate
Bone meal|Kelp|Manure|Compost|Total|Sum|Result|K. Smith|P. Jones|Mr. K|Vitamin B|Phone|Fax
Invoice no|Water|Salt|Sal|P 23|pH 6.8|Mo 12|2023|12|0-6 in|ppm|mg/kg|%|Mehlich 3|1:1|Walkley-Black
N-P-K|NPK|10-10-10|P and K|Phosphorus is an important nutrient|Iron Horse Farm
Organic matter is the key|Use Mehlich 3 for phosphorus|The soil had a lot of potassium|CO|CO2|al|se
n|i|AS|IN|Water pH of irrigation water|Kopfsalat|Beet 3|Probe Nr.|Labor-Nr.|Datum|Muestra|Parcela
Profundidad|parcelle|Échantillon|Boden|Sol|Suelo|Grower|Client|County|Area|Acres|Notes|Comments
Signature|Approved by|Total price|Amount due|Unit|Units|Method|North bed|Long Border|Control
Treatment|Rep|Block A|Tunnel 2|Hoop house|Garlic|Squash|Beans|Potatoes|Basil|B. oleracea|I|II|III|S1
B2|K9|N1|NE|SW|E|W|Cover crop|Sandy loam|loam|Clay loam|Silt loam|Copper Kettle Garden|Mg/kg
meq/100 g|lb/A|kg/ha|dS/m|g/cm3|index 3|Page 1 of 2|See back|cc: J. Doe|c/o M. Rey|Ph.D.|No. 3|Nr. 4
P.O. Box 12|Mon|Tue|Jan|Mar 2021|May|Dec|Total N-P-K|N/A|n.d.|ND|trace|<0.5|23 M|6.5|1,234
12.05.2021|05-06""".replace("\n", "|").split("|")


@pytest.mark.parametrize("text", [*ORDINARY, "", " ", "---", "***", "(", "%%", ":", "𝟙", "\x00"])
def test_ordinary_words_numbers_and_units_are_never_an_analyte(text: str) -> None:
    match = match_analyte(text)
    assert match is None or not match.is_result


@pytest.mark.parametrize(
    "text", ["P", "K", "S", "B", "H", "P1", "p", "ca", "MO", "BI", "LF", "Lead", "Fer", "Mo", "Iron Gate"]
)
def test_symbols_and_doubtful_words_alone_are_weak(text: str) -> None:
    match = match_analyte(text)
    assert match is not None
    assert match.weak


@pytest.mark.parametrize(
    "text", ["P ppm", "K (Mehlich-3)", "B mg/kg", "Phosphorus (P)", "p_mg_kg", "MO %", "As mg/kg", "Mo ppm"]
)
def test_a_unit_method_or_second_name_beside_it_makes_a_symbol_strong(text: str) -> None:
    match = match_analyte(text)
    assert match is not None
    assert not match.weak


@pytest.mark.parametrize(
    ("heading", "name"),
    [
        ("MO %", "organic_matter"),
        ("MO mg/kg", "molybdenum"),
        ("K %", "base_saturation_k"),
        ("K ppm", "potassium"),
        ("H %", "base_saturation_h"),
        ("H meq/100 g", "exchangeable_acidity"),
        ("CO %", "organic_carbon"),
        ("Co mg/kg", "cobalt"),
        ("Total K %", "potassium"),
        ("N %", "total_n"),
        ("T meq/100 g", "cec"),
    ],
)
def test_the_unit_decides_between_meanings(heading: str, name: str) -> None:
    match = match_analyte(heading)
    assert match is not None
    assert match.analyte == name


@pytest.mark.parametrize(
    ("heading", "form", "notes"),
    [
        ("Nitrate", "NO3", ("form-assumed",)),
        ("NO3", "NO3", ()),
        ("Nitrate-N", "", ()),
        ("Nitrate as N", "", ()),
        ("Sulphate as S", "", ()),
        ("Sulfur (SO4)", "", ("form-assumed",)),
        ("Sulphur as SO4", "SO4", ()),
        ("Potash (as K)", "", ()),
        ("Potassium as K2O", "K2O", ()),
        ("Phosphorus, P2O5", "P2O5", ()),
        ("Phosphate-P", "", ()),
        ("PO4-P", "", ()),
        ("Calcium (CaO)", "CaO", ()),
        ("K20", "K2O", ()),
    ],
)
def test_the_chemical_form_is_read_and_an_assumed_one_is_noted(
    heading: str, form: str, notes: tuple[str, ...]
) -> None:
    match = match_analyte(heading)
    assert match is not None
    assert (match.form, match.notes) == (form, notes)


def test_an_unnumbered_bray_is_noted_as_assumed() -> None:
    match = match_analyte("Bray P ppm")
    assert match is not None
    assert (match.method, match.notes) == ("bray_p1", ("method-assumed",))


@pytest.mark.parametrize(
    ("heading", "method_printed", "unit_printed"),
    [
        ("OM (LOI @ 360 °C) %", "LOI @ 360 °C", "%"),
        ("P (Mehlich-3 ICP) mg/dm³", "Mehlich-3 ICP", "mg/dm³"),
        ("P₂O₅ (Joret-Hébert) g/kg", "Joret-Hébert", "g/kg"),
        ("mg P2O5/100 g", "", "mg P2O5/100 g"),
        ("pH (0.01 M CaCl₂)", "0.01 M CaCl₂", ""),
        ("K (cmol(+) kg⁻¹)", "", "cmol(+) kg⁻¹"),
    ],
)
def test_method_and_unit_are_kept_as_printed(heading: str, method_printed: str, unit_printed: str) -> None:
    match = match_analyte(heading)
    assert match is not None
    assert (match.method_printed, match.unit_printed) == (method_printed, unit_printed)


def test_a_unit_cut_out_of_a_heading_does_not_join_what_stood_around_it() -> None:
    """'P ppm - 2' is not the strong Bray test P-2, and the 3 of 'Mehlich-3 in' is not 3 inches."""
    assert match_analyte("P ppm - 2") is None
    match = match_analyte("P Mehlich-3 in ppm")
    assert match is not None
    assert (match.method, match.depth_printed) == ("mehlich_3", "")


def test_the_layer_in_a_heading_is_set_aside() -> None:
    match = match_analyte("NO3-N 0-6 in ppm")
    assert match is not None
    assert (match.analyte, match.unit, match.depth_printed) == ("nitrate_n", "mg/kg", "0-6 in")


def test_a_year_beside_a_name_is_left_over_and_makes_it_weak() -> None:
    match = match_analyte("P 2022")
    assert match is not None
    assert (match.leftover, match.exact, match.weak) == (("2022",), False, True)


@pytest.mark.parametrize("index", ["LTI", "Lime Test Index", "Lime index"])
def test_a_lime_test_index_becomes_a_buffer_ph(index: str) -> None:
    match = match_analyte(index)
    assert match is not None
    assert to_canonical(67.0, analyte=match.analyte, unit=match.unit).value == pytest.approx(6.7)


@pytest.mark.parametrize(
    ("text", "name", "expected"),
    [
        ("Mehlich 3", None, "mehlich_3"),
        ("Mehlich-III ICP", "phosphorus", "mehlich_3"),
        ("1:1", "ph", "water_1_1"),
        ("1:1", None, "water_1_1"),
        ("water 1:2.5", "ph", "water_1_2_5"),
        ("LOI @ 360C 2hr", None, "loss_on_ignition"),
        ("1N AA", "potassium", "ammonium_acetate"),
        ("M1", "phosphorus", "mehlich_1"),
        ("DA", "potassium", "mehlich_1"),
        ("Ca(H2PO4)2", "sulfur", "monocalcium_phosphate"),
        ("Sat paste", "soluble_salts", "saturated_paste"),
        ("CaCl2", "ph", "cacl2"),
        ("0,01 M CaCl2", "ph", "cacl2"),
        ("Glühverlust", "organic_matter", "loss_on_ignition"),
        ("DL", "phosphorus", "dl"),
        ("P-CAL", "phosphorus", "cal"),
        ("Egner-Riehm", "phosphorus", "ammonium_lactate"),
        ("cobaltihexammine", "cec", "cobaltihexammine"),
        ("H3A", "phosphorus", "h3a"),
        ("SME", "potassium", "saturated_media_extract"),
        ("Bray P1 and Olsen", "phosphorus", ""),
        ("Loss on ignition", "phosphorus", ""),
        ("nothing known", None, ""),
        ("", None, ""),
    ],
)
def test_a_method_cell_gives_one_method_or_none(text: str, name: str | None, expected: str) -> None:
    assert match_method(text, name) == expected


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        (
            "Methods: P and K by Mehlich-3 (ICP), OM by loss on ignition 360 °C, pH in water 1:1",
            {
                ("phosphorus", "mehlich_3", "Mehlich-3 (ICP)"),
                ("potassium", "mehlich_3", "Mehlich-3 (ICP)"),
                ("organic_matter", "loss_on_ignition", "loss on ignition 360 °C"),
                ("ph", "water_1_1", "water 1:1"),
            },
        ),
        ("Extractant: Mehlich 3", {(None, "mehlich_3", "Mehlich 3")}),
        (
            "Mehlich-3: P, K; DTPA: Zn",
            {
                ("phosphorus", "mehlich_3", "Mehlich-3"),
                ("potassium", "mehlich_3", "Mehlich-3"),
                ("zinc", "dtpa", "DTPA"),
            },
        ),
        ("LOI 360", {("organic_matter", "loss_on_ignition", "LOI 360")}),
        ("P by Bray P1 and Olsen", {("phosphorus", "bray_p1"), ("phosphorus", "olsen")}),
        ("P-CAL; Mg in CaCl2", {("phosphorus", "cal"), ("magnesium", "cacl2")}),
        ("SMP buffer pH. Nitrate-N by 2M KCl.", {("buffer_ph", "smp"), ("nitrate_n", "kcl")}),
        (
            "Phosphor nach Olsen, Humus nach Dumas",
            {("phosphorus", "olsen"), ("organic_matter", "dry_combustion")},
        ),
        ("P2O5 : méthode Joret-Hébert ; CEC : Metson", {("phosphorus", "joret_hebert"), ("cec", "metson")}),
        (
            "Fósforo (Olsen), materia orgánica (Walkley-Black)",
            {("phosphorus", "olsen"), ("organic_matter", "walkley_black")},
        ),
        (
            "Untersuchungsmethoden: pH in CaCl2, P2O5 und K2O im CAL-Auszug, Humus durch Verbrennung",
            {
                ("ph", "cacl2"),
                ("phosphorus", "cal"),
                ("potassium", "cal"),
                ("organic_matter", "dry_combustion"),
            },
        ),
        (
            "Métodos: pH en agua 1:2,5; materia orgánica Walkley-Black; fósforo Olsen",
            {("ph", "water_1_2_5"), ("organic_matter", "walkley_black"), ("phosphorus", "olsen")},
        ),
        (
            "Olsen (P), 1 N NH4OAc (K, Ca), DTPA (Zn), hot water (B)",
            {
                ("phosphorus", "olsen"),
                ("potassium", "ammonium_acetate"),
                ("calcium", "ammonium_acetate"),
                ("zinc", "dtpa"),
                ("boron", "hot_water"),
            },
        ),
        ("CEC by summation, base saturation calculated", {("cec", "summation", "by summation")}),
        ("Thank you for your order.", set()),
        ("", set()),
    ],
)
def test_a_method_line_gives_each_analyte_its_method(sentence: str, expected: set[tuple[str, ...]]) -> None:
    found = find_methods(sentence)
    assert {given[: len(next(iter(expected), ()))] for given in found} == expected


CATIONS = {"potassium", "calcium", "magnesium", "sodium"}
TRACE_ELEMENTS = {"zinc", "iron", "manganese", "copper", "boron"}
MINERAL_NITROGEN = {"nitrate_n", "ammonium_n"}
METALS = {"lead", "cadmium", "arsenic", "copper", "zinc"}


# Which elements a group holds: common practice, no source.
@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        (
            "exchangeable cations by ammonium acetate, trace elements by DTPA",
            {"ammonium_acetate": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
        (
            "P by Olsen, exchangeable cations by ammonium acetate, trace elements by DTPA",
            {"olsen": {"phosphorus"}, "ammonium_acetate": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
        (
            "Ammonium acetate: cations; DTPA: micronutrients",
            {"ammonium_acetate": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
        ("base cations and P by Mehlich-3", {"mehlich_3": CATIONS | {"phosphorus"}}),
        ("cations and trace elements by Mehlich-3", {"mehlich_3": CATIONS | TRACE_ELEMENTS}),
        ("pH in water, bases by 1N NH4OAc", {"water": {"ph"}, "ammonium_acetate": CATIONS}),
        ("Mineral nitrogen by 2M KCl", {"kcl": MINERAL_NITROGEN}),
        ("Nmin in CaCl2", {"cacl2": MINERAL_NITROGEN}),
        ("heavy metals by aqua regia", {"aqua_regia": METALS}),
        (
            "Kationen nach Mehlich-3, Spurenelemente in DTPA",
            {"mehlich_3": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
        (
            "Cations échangeables à l'acétate d'ammonium, oligo-éléments au DTPA",
            {"ammonium_acetate": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
        (
            "Cationes por acetato de amonio; micronutrientes por DTPA",
            {"ammonium_acetate": CATIONS, "dtpa": TRACE_ELEMENTS},
        ),
    ],
)
def test_a_group_of_analytes_gives_each_member_its_method(
    sentence: str, expected: dict[str, set[str]]
) -> None:
    pairs = {(name, method) for name, method, _ in find_methods(sentence)}
    assert pairs == {(name, method) for method, names in expected.items() for name in names}


@pytest.mark.parametrize(
    ("sentence", "expected"),
    [
        ("Micronutrients by hot water", {("boron", "hot_water")}),  # extracts boron only
        ("Cations by loss on ignition", {("organic_matter", "loss_on_ignition")}),
        ("cations", set()),
    ],
)
def test_a_method_goes_to_no_member_that_it_cannot_measure(
    sentence: str, expected: set[tuple[str, str]]
) -> None:
    assert {(name, method) for name, method, _ in find_methods(sentence)} == expected


@settings(deadline=None, max_examples=300)
@given(st.text(max_size=60))
def test_any_text_is_read_without_an_error(text: str) -> None:
    match = match_analyte(text)
    assert match is None or match.analyte in analytes() or match.analyte == ""
    find_methods(text)
    match_method(text)


@settings(deadline=None, max_examples=200)
@given(
    st.sampled_from(HEADINGS),
    st.sampled_from(sorted({"recommended", "rating", "optimum", "last year", "index"})),
)
def test_no_kind_word_ever_leaves_a_heading_a_result(row: dict[str, str], word: str) -> None:
    assume(not (row["analyte"] == "buffer_ph" and word == "index"))  # the SMP index is a buffer pH
    match = match_analyte(f"{row['heading']} {word}")
    assert match is None or not match.is_result


@settings(deadline=None, max_examples=200)
@given(st.sampled_from(HEADINGS), st.text(string.ascii_lowercase, min_size=9, max_size=12))
def test_a_strange_word_is_always_shown_as_left_over(row: dict[str, str], word: str) -> None:
    match = match_analyte(f"{row['heading']} zq{word}")
    assert match is None or not match.exact


def test_every_unit_spelling_in_the_data_is_recognised() -> None:
    wrong = [
        (spelling, match_unit(spelling), code)
        for code, unit in units().items()
        for spelling in unit.spellings
        if match_unit(spelling) != code
    ]
    assert not wrong


def test_every_spelling_of_an_analyte_names_it() -> None:
    wrong = [
        (name, spelling)
        for name, row in load_toml("analytes").items()
        for spelling in row.get("names", [])
        if (match := match_analyte(spelling)) is None or match.analyte != name
    ]
    assert not wrong
