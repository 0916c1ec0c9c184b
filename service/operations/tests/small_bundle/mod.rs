//! A small sound bundle: one axle and the drop box before it, with a row or two of every sheet.

use std::collections::BTreeMap;

use operations::import_catalogue::BundleSource;

/// Texts by file name.
pub(crate) type Bundle = BTreeMap<String, Vec<u8>>;

const FILES: &[(&str, &str)] = &[
    ("makers", "maker,name\nBRANNOCH,Brannoch\nVESSICK,Vessick\nNORRWALD,\"Norrwald, North\"\n"),
    ("suppliers", "supplier,name,currency,order_cost\nOSTREL,Ostrel,EUR,12.50\n"),
    (
        "vehicles",
        "vehicle,maker,name,built_from,built_to,tyre,laden_mass_kg\n\
         R11,BRANNOCH,Road-rail truck,2001-05-01,2012-12-31,265/70R16,11500\n",
    ),
    ("engine_points", "vehicle,speed_rpm,torque_nm\nR11,1400,560\nR11,2200,495.5\n"),
    (
        "parts",
        "maker,number,name,kind,class,price_group,measure,retired,gtin,mass_kg,surplus_credit,renewal\n\
         VESSICK,VK 228-10,Pinion,hard,gear,HARD,H87,no,6291041500213,4.2,,\n\
         VESSICK,VK 228-40,Seal,consumable,seal,SOFT,H87,no,,,,\n\
         NORRWALD,NK 40,Seal,consumable,seal,SOFT,H87,no,,,0.50,single_use\n\
         NORRWALD,NK-900,Seal kit,kit,other,KITS,KT,no,,,,\n\
         VESSICK,VK 1,\"Oil, 75W-90\",consumable,fluid,OIL,LTR,no,,,,\n\
         VESSICK,VK 143-5,Output shaft,set,shaft,HARD,SET,no,,,,\n",
    ),
    (
        "features",
        "part,feature,kind,basis,inside_diameter_mm,outside_diameter_mm,diameter_mm,tooth_count,measured_by,measured_on\n\
         VESSICK/VK22810,SEAT,seal_seat,measured,,,50,,M. Orlan,2025-03-01\n\
         VESSICK/VK22840,LIP,seal,stated,50,72,,,,\n\
         NORRWALD/NK40,LIP,seal,stated,50,72,,,,\n\
         VESSICK/VK22810,SPLINE,spline_shaft,stated,,,,24,,\n\
         VESSICK/VK1435,SPLINE,spline_hub,stated,,,,24,,\n",
    ),
    (
        "units",
        "code,maker,name,kind,mass_kg\nBN-228,BRANNOCH,Rear axle,axle,180\nBN-143,BRANNOCH,Drop box,drop_box,\n",
    ),
    ("vehicle_units", "vehicle,unit,role,driven\nR11,BN-228,rear_axle,yes\nR11,BN-143,drop_box,no\n"),
    (
        "variants",
        "unit,variant,option_group,name,serial_from,serial_to,built_from,built_to,how_to_tell\n\
         BN-228,EARLY,CASE,Early case,,4999,,,\nBN-228,LATE,CASE,Late case,5000,,,,\n",
    ),
    (
        "positions",
        "unit,position,name,subassembly,assembly_order,quantity,renewal,variant,only_with\n\
         BN-228,PINION,Pinion,HEAD,10,1,on_condition,,\n\
         BN-228,SEAL,Pinion seal,HEAD,20,1,,,\n\
         BN-143,OUTPUT,Output shaft,OUT,10,1,on_condition,,\n",
    ),
    (
        "bench_values",
        "unit,position,bench_value,kind,name,measure,minimum,maximum,wear_limit,step\n\
         BN-228,PINION,PRELOAD,preload,Pinion preload,NU,1.2,1.8,,\n\
         BN-228,PINION,WEAR,wear_limit,Seal track,MMT,,,0.1,\n",
    ),
    ("bench_renewals", "unit,position,bench_value,renews\nBN-228,PINION,WEAR,SEAL\n"),
    (
        "candidates",
        "unit,position,part,role,quantity,variant\n\
         BN-228,PINION,VESSICK/VK22810,original,,\n\
         BN-228,SEAL,VESSICK/VK22840,original,,EARLY\n\
         BN-228,SEAL,NORRWALD/NK40,original,1,LATE\n\
         BN-143,OUTPUT,VESSICK/VK1435,original,,\n",
    ),
    ("set_positions", "unit,part,position\nBN-143,VESSICK/VK1435,OUTPUT\n"),
    (
        "joints",
        "joint,kind,unit_a,position_a,feature_a,unit_b,position_b,feature_b,centre_distance_mm,backlash_min_mm,backlash_max_mm\n\
         J1,seal,BN-228,SEAL,LIP,BN-228,PINION,SEAT,,,\n\
         J2,spline,BN-228,PINION,SPLINE,BN-143,OUTPUT,SPLINE,,,\n",
    ),
    (
        "fit_statements",
        "maker,part_a,part_b,verdict,document,stated_on\n\
         NORRWALD,NORRWALD/NK40,VESSICK/VK22810,fits,Fitting sheet 14,2024-11-05\n",
    ),
    ("companions", "part,companion,quantity\nVESSICK/VK22810,VESSICK/VK22840,1\n"),
    ("kit_lines", "kit,line,part,quantity,option_group\nNORRWALD/NK900,1,NORRWALD/NK40,1,\n"),
    (
        "supersessions",
        "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone,unit,variant,serial_from,serial_to,built_from,built_to\n\
         V-7,VESSICK/VK22840,NORRWALD/NK40,1,one_to_one,two_way,2030-01-01,yes,BN-228,EARLY,100,200,,\n",
    ),
    ("supersession_needs", "notice,line,unit,position,part\nV-7,1,BN-228,PINION,\n"),
    (
        "operations",
        "unit,operation,name,overhaul,hours\nBN-228,OVERHAUL,Overhaul,yes,14.5\nBN-228,SEAL,Seal change,no,2\n",
    ),
    ("operation_scope", "unit,operation,position,effect\nBN-228,SEAL,SEAL,renews\n"),
    (
        "fluids",
        "unit,operation,part,quantity,grade,purpose\nBN-228,OVERHAUL,VESSICK/VK1,2.25,75W-90,Fill after overhaul\n",
    ),
    (
        "outside_work",
        "unit,work,name,operation,position,finding,supplier,price,currency,lead_days\n\
         BN-228,GRIND,Grind the seal track,,PINION,worn,OSTREL,80,EUR,5\n",
    ),
    (
        "weak_points",
        "unit,weak_point,position,finding,likelihood,given,likelihood_otherwise,symptom,vehicle_check\n\
         BN-228,TRACK,PINION,worn,0.3,,,Oil at the flange,Wipe and drive\n\
         BN-228,LIP,SEAL,damaged,0.9,TRACK,0.2,Oil at the flange,Wipe and drive\n",
    ),
    (
        "cautions",
        "caution,hazard,text,unit,operation,position\n\
         LIFT,lifting,\"Lift with two people:\nthe unit is heavy\",BN-228,,\n",
    ),
    (
        "prices",
        "supplier,part,quantity_from,valid_from,valid_to,currency,price,pack,minimum,lead_days,deposit\n\
         OSTREL,VESSICK/VK22810,1,2026-01-01,,EUR,320,1,1,3,40\n\
         OSTREL,NORRWALD/NK40,1,2026-01-01,2027-12-31,NOK,48.50,2,2,3,\n\
         OSTREL,VESSICK/VK22840,1,2026-01-01,,EUR,6.1250,1,1,3,\n\
         OSTREL,NORRWALD/NK900,1,2026-01-01,,EUR,9,1,1,3,\n\
         OSTREL,VESSICK/VK1,0.5,2026-01-01,,EUR,8,0.5,0.5,3,\n\
         OSTREL,VESSICK/VK1435,1,2026-01-01,,EUR,150,1,1,3,\n",
    ),
    ("exchange_rates", "currency,valid_from,rate,source\nNOK,2026-01-01,0.08512345,Bank list\n"),
    ("tax_rates", "tax,valid_from,rate,name\nSTANDARD,2020-01-01,20,Standard rate\n"),
    ("customers", "customer,name,tax\nNORTH,District North,STANDARD\n"),
    (
        "price_rules",
        "rule,customer,price_group,supplier,markup\nALL,,,,35\nNORTH-SOFT,NORTH,SOFT,OSTREL,12.5\n",
    ),
    ("settings", "setting,value\nBASE-CURRENCY,EUR\nLABOUR-RATE,68\nTAX,STANDARD\n"),
    ("bins", "bin,name\nA-03-2,Row A\n"),
    ("minimums", "part,bin,minimum,order_up_to\nNORRWALD/NK40,A-03-2,2,4\n"),
    (
        "stock",
        "bin,part,mark,quantity,carrying_value\nA-03-2,NORRWALD/NK40,,3,2.75\nA-03-2,VESSICK/VK1435,7-114,1,120\n",
    ),
];

/// The sound bundle.
pub(crate) fn small_bundle() -> Bundle {
    FILES
        .iter()
        .map(|(name, text)| (format!("{name}.csv"), text.replace('\n', "\r\n").into_bytes()))
        .collect()
}

/// The bundle as something to import.
pub(crate) fn source(bundle: &Bundle) -> BundleSource {
    BundleSource::Texts(bundle.clone())
}

/// Replaces a piece of a file that stands there once.
pub(crate) fn edit(bundle: &mut Bundle, file: &str, from: &str, to: &str) {
    let name = format!("{file}.csv");
    let text = String::from_utf8(bundle[&name].clone()).unwrap();
    assert_eq!(text.matches(from).count(), 1, "{file}: {from}");
    bundle.insert(name, text.replacen(from, to, 1).into_bytes());
}

/// Adds a line to a file.
pub(crate) fn add(bundle: &mut Bundle, file: &str, line: &str) {
    bundle.get_mut(&format!("{file}.csv")).unwrap().extend(format!("{line}\r\n").into_bytes());
}
