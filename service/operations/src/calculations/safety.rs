//! The usual cautions of the work that a calculation leads to (common practice, no source).

use catalogue::Hazard;
use resolver::answer::CautionNote;

/// The notes of some hazards, in the order given.
pub(crate) fn notes(hazards: &[Hazard]) -> Vec<CautionNote> {
    let note = |hazard: &Hazard| CautionNote {
        hazard: *hazard,
        text: words(*hazard).to_owned(),
        unit: None,
        position: None,
    };
    hazards.iter().map(note).collect()
}

fn words(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::Lifting => {
            "Lift and carry units only with tackle made for their mass; nobody stands or reaches under a hanging load."
        }
        Hazard::Press => {
            "Pressing and pulling: guards and eye protection, the part supported, nobody in the line of force. Press work is \
             for trained people."
        }
        Hazard::Heat => {
            "Heated and deeply cooled parts burn skin and look like others: gloves and a thermometer, no naked flame, fresh \
             air with dry ice, and bearings never hotter than their maker allows."
        }
        Hazard::Spring => {
            "Springs and circlips fly out: cover them, wear eye protection, let them up slowly."
        }
        Hazard::Solvent => {
            "Solvents and oils harm skin and lungs: gloves, fresh air, and never spin a bearing with compressed air."
        }
        Hazard::VehicleOnStands => {
            "Under a vehicle: firm level ground, wheels chocked, stands rated for the load; a jack alone never holds it."
        }
        Hazard::ChangedGearing => {
            "Changed gearing alters road speed readings, braking by the engine and climbing with a load. Test brakes and \
             climbing before the vehicle carries its load, and have it approved where the local code asks for it."
        }
        Hazard::Brakes => {
            "Brakes are worked on by people licensed for it and tested before the vehicle or winch carries anyone or anything."
        }
    }
}
