//! On which side of the equator a time zone lies, so that spring is told from autumn where no freeze dates are given.
//!
//! Source: latitudes in `zone.tab` of the IANA time zone database (public domain), release 2026; of zones that span the
//! equator the side of the place that the zone is named after.

use chrono_tz::Tz;

/// Whether a zone lies south of the equator.
pub fn is_southern(zone: Tz) -> bool {
    let name = zone.name();
    ALL_SOUTH.iter().any(|prefix| name.starts_with(prefix)) || SOUTH.contains(&name)
}

/// Whole groups of zones, and old names of others.
const ALL_SOUTH: [&str; 6] = ["Australia/", "Antarctica/", "America/Argentina/", "Brazil/", "Chile/", "NZ"];

const SOUTH: [&str; 83] = [
    "Africa/Blantyre",
    "Africa/Brazzaville",
    "Africa/Bujumbura",
    "Africa/Dar_es_Salaam",
    "Africa/Gaborone",
    "Africa/Harare",
    "Africa/Johannesburg",
    "Africa/Kigali",
    "Africa/Kinshasa",
    "Africa/Luanda",
    "Africa/Lubumbashi",
    "Africa/Lusaka",
    "Africa/Maputo",
    "Africa/Maseru",
    "Africa/Mbabane",
    "Africa/Nairobi",
    "Africa/Windhoek",
    "America/Araguaina",
    "America/Asuncion",
    "America/Bahia",
    "America/Belem",
    "America/Campo_Grande",
    "America/Coyhaique",
    "America/Cuiaba",
    "America/Eirunepe",
    "America/Fortaleza",
    "America/Guayaquil",
    "America/La_Paz",
    "America/Lima",
    "America/Maceio",
    "America/Manaus",
    "America/Montevideo",
    "America/Noronha",
    "America/Porto_Velho",
    "America/Punta_Arenas",
    "America/Recife",
    "America/Rio_Branco",
    "America/Santarem",
    "America/Santiago",
    "America/Sao_Paulo",
    "Asia/Dili",
    "Asia/Jakarta",
    "Asia/Jayapura",
    "Asia/Makassar",
    "Asia/Pontianak",
    "Atlantic/South_Georgia",
    "Atlantic/St_Helena",
    "Atlantic/Stanley",
    "Indian/Antananarivo",
    "Indian/Chagos",
    "Indian/Christmas",
    "Indian/Cocos",
    "Indian/Comoro",
    "Indian/Kerguelen",
    "Indian/Mahe",
    "Indian/Mauritius",
    "Indian/Mayotte",
    "Indian/Reunion",
    "Pacific/Apia",
    "Pacific/Auckland",
    "Pacific/Bougainville",
    "Pacific/Chatham",
    "Pacific/Easter",
    "Pacific/Efate",
    "Pacific/Fakaofo",
    "Pacific/Fiji",
    "Pacific/Funafuti",
    "Pacific/Galapagos",
    "Pacific/Gambier",
    "Pacific/Guadalcanal",
    "Pacific/Kanton",
    "Pacific/Marquesas",
    "Pacific/Nauru",
    "Pacific/Niue",
    "Pacific/Norfolk",
    "Pacific/Noumea",
    "Pacific/Pago_Pago",
    "Pacific/Pitcairn",
    "Pacific/Port_Moresby",
    "Pacific/Rarotonga",
    "Pacific/Tahiti",
    "Pacific/Tongatapu",
    "Pacific/Wallis",
];

#[cfg(test)]
mod tests {
    use chrono::{Offset, TimeZone, Utc};

    use super::{ALL_SOUTH, SOUTH, is_southern};

    #[test]
    fn every_name_is_a_zone() {
        for name in SOUTH {
            assert!(name.parse().is_ok_and(is_southern), "{name}");
        }
        for prefix in ALL_SOUTH {
            assert!(chrono_tz::TZ_VARIANTS.iter().any(|zone| zone.name().starts_with(prefix)), "{prefix}");
        }
    }

    /// An independent sign: a zone that sets its clocks ahead for summer does so in July in the north, in January in the
    /// south. Troll keeps the clocks of its supply from Europe.
    #[test]
    fn clocks_are_ahead_in_the_summer_of_their_side() {
        let mut told = 0;
        for zone in
            chrono_tz::TZ_VARIANTS.iter().filter(|zone| zone.name().contains('/') && zone.name() != "Antarctica/Troll")
        {
            let ahead = |month| {
                let day = Utc.with_ymd_and_hms(2026, month, 15, 12, 0, 0).unwrap().naive_utc();
                zone.offset_from_utc_datetime(&day).fix().local_minus_utc()
            };
            let (january, july) = (ahead(1), ahead(7));
            if january != july {
                assert_eq!(is_southern(*zone), january > july, "{zone}");
                told += 1;
            }
        }
        assert!(told > 100, "{told}");
    }
}
