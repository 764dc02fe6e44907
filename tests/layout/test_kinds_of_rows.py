"""Rows and columns that are no results of their own: what is desired, dashes, histories, units behind."""

from tests.layout.bytes_of import read_text, values


def test_of_desired_found_and_deficit_the_found_counts() -> None:
    reading = read_text(
        "Soil report\n\n"
        "Sample location                Upper garden    Lower garden\n"
        "EXCHANGEABLE CATIONS, ppm\n"
        "Calcium           Desired      2359            3340\n"
        "                  Found        2150            3620\n"
        "                  Deficit      -209\n"
        "Magnesium         Desired      252             357\n"
        "                  Found        216             402\n"
        "                  Deficit      -36\n"
        "Sodium            Found        44              61\n"
    )
    found = values(reading)
    assert found["Upper garden", "calcium"] == (2150, "mg/kg")
    assert found["Lower garden", "magnesium"] == (402, "mg/kg")
    assert {left.text for left in reading.left_alone} >= {"2359", "3340", "252"}


def test_runs_of_dashes_show_the_columns() -> None:
    reading = read_text(
        "SOIL TESTING LABORATORY\n\n"
        "LAB  SAMPLE            SOIL   ORGANIC    P       K\n"
        "NO.  IDENTIFICATION     PH    MATTER   OLSEN\n"
        "                                 %     LBS/A   LBS/A\n"
        "---- ----------------- ------ -------- ------ ------\n"
        "4417 NORTH 40             6.7      2.8     22    341\n"
        "4418 HOUSE GARDEN         7.4      5.9    118    702\n"
    )
    found = values(reading)
    assert found["NORTH 40", "ph"] == (6.7, "")
    assert found["HOUSE GARDEN", "potassium"] == (702, "lb/acre")
    assert len(found) == 8


def test_a_history_of_full_dates_counts_for_each_day_and_one_of_years_does_not() -> None:
    dated = read_text(
        "SOIL TEST\nSAMPLE ID: UPPER\nSAMPLED: 01/22/1998\n\nPREVIOUS TESTS OF THIS SAMPLE\n"
        "  DATE SAMPLED     PH     P LB/A\n  11/14/1991      5.4       38\n  12/02/1994      5.6       51\n"
    )
    assert {str(r.sampled_on) for r in dated.readings} == {"1991-11-14", "1994-12-02"}
    years = read_text(
        "Soil report\nSample Ref   Plot 4\nDate received   29 Jan 2021\n\n"
        "Determinand   Unit   Found\npH                   6.2\nPotassium     ppm    97\n\n"
        "This plot          2013    2017    2021\npH                  5.6     5.9     6.2\n"
        "Potassium (ppm)     132     109     97\n"
    )
    assert values(years) == {("Plot 4", "ph"): (6.2, ""), ("Plot 4", "potassium"): (97, "mg/kg")}


def test_a_second_number_with_its_own_unit_is_the_same_result() -> None:
    head = "Sample ID,Long border\nTest,Result,Units,Result,Units,Rating\n"
    reading = read_text(head + "pH,5.7,,,,\nNitrate-N,12,ppm,24,lb/acre,High\n", "soil test.csv")
    assert values(reading) == {("Long border", "ph"): (5.7, ""), ("Long border", "nitrate_n"): (12, "mg/kg")}


def test_a_title_in_sentences_gives_no_unit() -> None:
    reading = read_text(
        "Soil results. All nutrients are Mehlich 3 and in ppm, pH is 1:1 in water, organic matter is by\n"
        "loss on ignition, CEC is calculated (meq/100 g). Sampling depth was 8 inches.\n\n"
        "                pH    OM %    K     Ca    CEC\nRaised bed A    7.0   9.8    388   2950   18.8\n"
        "Raised bed B    7.3   12.1   466   3480   21.9\n"
    )
    found = values(reading)
    assert found["Raised bed A", "potassium"] == (388, "mg/kg")
    assert found["Raised bed A", "cec"][1] != "mg/kg"
    methods = {(r.analyte, r.method) for r in reading.readings}
    assert methods >= {
        ("ph", "water_1_1"),
        ("organic_matter", "loss_on_ignition"),
        ("potassium", "mehlich_3"),
    }


def test_a_merged_name_stands_over_two_methods() -> None:
    rows = (
        "N°;Parcelle;pH;;M.O.\n;;eau;KCl;%\n1;Les Quatre Chemins;6,3;5,4;2,4\n2;Champ du Moulin;6,9;6,1;1,9\n"
    )
    reading = read_text("Analyse de terre;;;;\n" + rows, "sol.csv")
    found = {(r.sample, r.method): r.result.number for r in reading.readings if r.analyte == "ph"}
    assert found["Les Quatre Chemins", "kcl"] == 5.4
    assert found["Champ du Moulin", "water"] == 6.9


def test_a_layer_without_a_unit_is_in_the_lengths_of_the_country() -> None:
    head = "SampleID,DateRecd,BegDepth,EndDepth,OM %,K ppm\n"
    american = read_text(head + "HOME,04/19/2021,0,6,3.4,212\nCREEK,04/19/2021,0,6,4.7,188\n", "results.csv")
    assert {(r.depth_to_cm, "layer-assumed" in r.notes) for r in american.readings} == {(15.24, True)}
    other = read_text(head + "HOME,19/04/2021,0,20,3.4,212\nCREEK,19/04/2021,0,20,4.7,188\n", "results.csv")
    assert {r.depth_to_cm for r in other.readings} == {20.0}
    unsure = head + "HOME,04/05/2021,0,6,3.4,212\nCREEK,04/05/2021,0,6,4.7,188\n"
    open_order = read_text(unsure, "results.csv")
    assert {r.depth_to_cm for r in open_order.readings} == {None}


def test_units_with_their_method_in_brackets_stand_below_the_names() -> None:
    head = "Probe;Tiefe;pH;Phosphor;Kalium\n;cm;CaCl2;mg P/100 g (CAL);mg K/100 g (CAL)\n"
    reading = read_text(head + "Hang;0-30;5,9;7,0;17,0\nTal;0-30;6,2;4,6;16,2\n", "befund.csv")
    found = {r.analyte: (r.result.number, r.unit, r.method) for r in reading.readings if r.sample == "Hang"}
    assert found["phosphorus"] == (7.0, "mg/(100.g)", "cal")
    assert found["ph"] == (5.9, "", "cacl2")
