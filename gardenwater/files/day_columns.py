"""What the columns of a table of days are about, by their headings."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

from gardenwater.files.headers import plain

DAY, YEAR, MONTH, MONTH_DAY, YEAR_DAY = "day", "year", "month", "day_of_month", "day_of_year"
STATION, FLAGS, ELEMENT, VALUE = "station", "flags", "element", "value"
DATE_PARTS: Final = (DAY, YEAR, MONTH, MONTH_DAY, YEAR_DAY)

_OTHER: Final = re.compile(
    r"(^|_)(days|duration|hours?|intensity|flag|flags|quality|qc|q[nf]|snow\w*|snwd|sneeuw|neige|schnee\w*|prob\w*|"
    r"period|gust\w*|dir|direction|net|longwave|lw|cloud\w*|pressure|soil|grass|ground|5cm|10cm|evap\w*|et0?|eto|pet|"
    r"normal|departure|cumulative|year_to_date|interim|measured|multi\w*|hdd|cdd|gdd|of_days|accumulated)(_|$)"
)
"""Words in headings whose column is of something else."""
_TEMPERATURE = r"((t|temp|temps|temperature|temperatures|temperatur|temperatura|air|air_t|air_temp\w*|tas)_?(2m)?)"
_LOW = r"(min|minimum|mini|minimal|minimale|minima|lowest|low|n|mn)"
_HIGH = r"(max|maximum|maxi|maximal|maximale|maxima|highest|high|x|mx)"
_WORDS: Final = {
    STATION: """station stn station_id stationid stations_id id site site_no bureau_of_meteorology_station_number poste
        num_poste""",
    DAY: r"""date dates datum fecha data dag tag jour day_date time timestamp datetime date_time date_utc obs_date
        yyyymmdd yyyy_mm_dd mess_datum aaaammjj dt""",
    YEAR: "year yr yyyy jahr jaar annee ano anno yy",
    MONTH: "month mon mo mm mois monat maand mes mese",
    MONTH_DAY: "day dd dom day_of_month dy giorno dia",
    YEAR_DAY: "doy jday julian julian_day day_of_year yday",
    "dew_point_c": r"\w*dew\w* td tdmean tdp adpt",
    "t_min_c": rf"""{_TEMPERATURE}_?{_LOW} {_LOW}_?{_TEMPERATURE} {_LOW}_?temp\w* tn tnk tmn tasmin tminc tminf mint
        mintp low lowest""",
    "t_max_c": rf"""{_TEMPERATURE}_?{_HIGH} {_HIGH}_?{_TEMPERATURE} {_HIGH}_?temp\w* tx txk tmx tasmax tmaxc tmaxf maxt
        maxtp high highest""",
    "radiation_mj_m2": r"""\w*radiation\w* srad rs rad solar glot ssrd rsds globalstrahlung rayonnement swrad
        allsky_sfc_sw_dwn""",
    "wind_m_s": r"""wind wind_?speed\w* windspd ws ws2m ws10m wspd u2 u10 wind_?\d+m? ffm fm awnd sfcwind wdsp
        mean_wind\w* wind_mean vent viento""",
    "humidity_mean_pct": r"""rh rh2m humidity rel_?hum\w* relative_humidity rhmean rh_?mean rh_?avg mean_rh hurs upm umm
        rhav humidite feuchte hum""",
    "rain_mm": r"""rain rain_?fall rain_sum rain_total daily_rain\w* rainfall_amount total_rain\w* precip precip\w+
        prectot\w* total_precip\w* prcp ppt prec pr rr rr1 rsk regen\w* niederschlag\w* neerslag\w* pluie\w* lluvia\w*
        pioggia nederbord nedbor p tp""",
}
_PATTERNS: Final = {role: re.compile(f"(?:{'|'.join(words.split())})") for role, words in _WORDS.items()}
"""Headings of each role, as patterns of the whole heading without its unit, the first that fits counts."""
_UNIT_TAIL: Final = re.compile(
    r"_(0_1|0_01|tenths?|of|a|mm|in|inch|inches|cm|c|f|k|degc|degf|deg|degrees?|celsius|fahrenheit|millimet\w+|mj|m2|m_2|"
    r"j_cm2|w_m2|kwh|m_s|ms|mps|km_h|kmh|mph|knots?|kt|per_cent|pct|percent|mean|avg|average|daily|day|d|24h|at|2m|10m|"
    r"2_m|10_m|m|s|h|kj|1|millimetres|utc|local)$"
)
KNMI: Final = {
    "rh": ("rain_mm", "0.1 mm"),
    "tn": ("t_min_c", "0.1 C"),
    "tx": ("t_max_c", "0.1 C"),
    "fg": ("wind_m_s", "tenths of m/s at 10 m"),
    "q": ("radiation_mj_m2", "J/cm2"),
    "ug": ("humidity_mean_pct", "%"),
}
"""The Dutch weather office's own headings, which mean other things elsewhere; units as its files explain them."""
KNMI_TRACE: Final = -1.0
"""Its rain of less than 0.05 mm, as its files explain it."""


def heading_name(words: str) -> str:
    """A heading as a plain name: lower case, without accents, one underscore between words."""
    bare = unicodedata.normalize("NFKD", words.lstrip("#")).encode("ascii", "ignore").decode()
    return plain(bare.replace("°", " "))


def role_of(name: str) -> str:
    """What a column is about by its plain heading: a column of weather, a part of the date, or empty."""
    if name.endswith("_attributes"):
        return FLAGS
    base = _without_units(name)
    if _OTHER.search(base):
        return ""
    return next((role for role, pattern in _PATTERNS.items() if pattern.fullmatch(base)), "")


def _without_units(name: str) -> str:
    """The heading without its unit and the words that say nothing, but never nothing at all."""
    base = name
    while (shorter := _UNIT_TAIL.sub("", base)) != base and shorter:
        base = shorter
    return base


def is_knmi(names: list[str]) -> bool:
    """Whether these are the headings of a file of the Dutch weather office."""
    return {"yyyymmdd", "tn", "tx", "rh", "ug"} <= set(names)
