"""How to find out each fact of a part that may be unknown: two sentences each, common practice."""

from recommender.facts import words

THIRDS = {
    "head": "third nearest the head mount", "middle": "middle third",
    "shaft": "third nearest the shaft mount",
}  # fmt: skip


def measuring_parts() -> dict[str, str]:
    """Fact -> how to find it out, after 'shock_', 'kit_', 'spring_' and 'tune_'."""
    return _bodies() | _eyes() | _shock() | _others()


def _bodies() -> dict[str, str]:
    return {
        f"shock_body_{third}_{side}_mm": f"Measure from the shock's axis {side} to the outermost "
        f"thing in the {where}: can, reservoir, lever, hose or valve. Half the diameter will do "
        "where the body is round."
        for third, where in THIRDS.items() for side in words.SIDES
    }  # fmt: skip


def _eyes() -> dict[str, str]:
    out: dict[str, str] = {}
    for end in ("head", "shaft"):
        out |= {
            f"shock_{end}_eye": f"Look into the eye at the shock's {end} end: a bearing turns, a "
            "bushing is a plain ring. The maker's sheet says which it is.",
            f"shock_{end}_eye_width_mm": f"Measure the eye at the shock's {end} end across its two "
            "faces with a caliper, to 0.1 mm. Push the sleeve out first so that you measure the "
            "eye alone.",
            f"shock_{end}_eye_bore_mm": f"Measure the bare bore of the eye at the shock's {end} "
            "end, without bushing, to 0.1 mm. The maker's sheet gives it where the bushing cannot "
            "come out.",
            f"shock_{end}_sleeve_diameter_mm": f"Measure the outside of the sleeve that runs in "
            f"the bushing at the shock's {end} end, to 0.05 mm. On most shocks it is 12.7 mm, "
            "which is common practice and no rule.",
        }
    return out


def _shock() -> dict[str, str]:
    plain = {
        "spring_kind": "Look at the shock: a coil is seen at once, an air can has a valve. The "
        "maker's sheet names it.",
        "head_mount": "Look at the shock's head: an eye takes one bolt through it, a trunnion two "
        "bolts in its sides. The maker's sheet names it.",
        "length_mm": "Measure between the centres of the two bolts, shock extended and unloaded, "
        "to 0.5 mm. Measure twice; sizes in inches and in millimetres lie close together.",
        "stroke_mm": "Measure the bare shaft from seal to bumper end with the spring or all air "
        "out, or read it from the sheet. An internal spacer may make it less than the type's.",
        "mass_g": "Weigh the shock without hardware, a coil one without its spring. To ten grams "
        "is enough.",
        "trunnion_width_mm": "Measure the trunnion head between its two bolt faces with a caliper, "
        "to 0.1 mm. Clean the faces first.",
        "trunnion_thread": "Read it from the maker's sheet or the manual. A thread gauge tells "
        "the pitch, a bolt that is known to fit the rest.",
        "trunnion_thread_depth_mm": "Turn a long bolt in by hand until it stops and measure what "
        "went in. Do not force it.",
        "eyelet_axis": "Hold the shock and look along both eyes: parallel or crosswise. That is "
        "how it was delivered.",
        "eyelet_turnable": "Look up in the shock's manual whether the shaft eye may be turned by "
        "hand with all air out. Silence is no permission: on some shocks turning unscrews the "
        "damper.",
        "end_for_end": "Look up in the shock's manual whether it may be mounted end for end. "
        "Silence is no permission.",
        "remote_lockout": "Look for a cable stop on the lockout's lever. The maker's sheet says "
        "whether it works by a remote.",
        "damper": "Ask a service workshop which damper family it is, by the full part number. It "
        "tells what can be done to it.",
        "rider_mass_limit_basis": "Look up in the shock's manual what its highest mass is of. "
        "It is the rider, the rider with kit, or rider, kit and bike together.",
        "rider_mass_limit_kg": "Look up the highest rider mass in the shock's manual. A manual "
        "that is silent sets none.",
        "piston_area_mm2": "Ask the maker, or take the piston's diameter in the air can apart at a "
        "service. The area is 0.785 times the diameter squared.",
        "chamber_cm3": "Ask the maker, or let a service workshop fill the positive chamber with "
        "oil and measure the oil. Without volume spacers and fully extended.",
        "negative_area_mm2": "Ask the maker: it is the ring that the negative chamber acts on. It "
        "cannot be measured from outside.",
        "negative_chamber_cm3": "Ask the maker, or let a service workshop fill the negative "
        "chamber with oil and measure the oil. Fully extended.",
        "equalise_at_mm": "Compress the shock slowly after pumping and listen where the chambers "
        "equalise, or ask the maker. Most do within the first ten millimetres.",
        "pressure_min_psi": "Look up the lowest pressure in the shock's manual. It is often "
        "printed beside the valve.",
        "pressure_max_psi": "Look up the highest pressure in the shock's manual. It is often "
        "printed beside the valve.",
        "volume_spacer_cm3": "Put one volume spacer into water and read what it displaces, or ask "
        "the maker. Note which size it is.",
        "volume_spacers_max": "Look up in the shock's manual how many volume spacers it takes. "
        "More than that may jam the piston.",
        "volume_spacer_price": "Ask the supplier what one volume spacer costs. Ask for the set "
        "where they are not sold singly.",
        "spring_seat_mm": "Measure the diameter of the spring's seat on the shock with a caliper, "
        "to 0.1 mm. The spring slides over it.",
        "spring_length_min_mm": "With the spring off, turn the collar as far toward the seat as it "
        "goes and measure between them. That is the shortest spring it holds.",
        "spring_length_max_mm": "With the spring off, turn the collar as far away as the thread "
        "goes and measure to the seat. That is the longest spring it takes.",
        "collar_pitch_mm": "Turn the preload collar five full turns, measure how far it moved and "
        "divide by five. A thread gauge does it as well.",
        "preload_turns_min": "Look up the least preload in the shock's manual. Half a turn is "
        "usual where it says nothing.",
        "preload_turns_max": "Look up the most preload in the shock's manual. One to three turns "
        "are usual.",
        "price": "Ask the supplier for the price. Ask whether tax and postage are in it.",
        "delivery_days": "Ask the supplier when it would be in the workshop. Ask whether it is on "
        "the shelf.",
        "stock": "Ask the supplier how many are on the shelf. Have them put aside.",
    }
    for name, word in (("compression", "compression"), ("rebound", "rebound")):
        plain[f"{name}_class"] = (
            f"Read the {word} tune on the shock's label or ask the maker by the full part number. "
            "It is light, medium or firm."
        )
        for end in ("low", "high"):
            plain[f"{name}_{end}_n_s_per_m"] = (
                f"Have the shock measured on a dynamometer at its {word} adjuster's {end} end. "
                "Without that the range of its class is used."
            )
    plain["lockout_class"] = (
        "Close the lockout and push: it is none, light, medium or firm. The maker's sheet names it."
    )
    for name in ("rebound", "low_speed_compression", "high_speed_compression"):
        plain[f"{name}_adjuster"] = (
            f"Look for a dial or a hex socket marked for {name.replace('_', ' ')}. The maker's "
            "sheet lists what can be adjusted."
        )
    plain["lockout_lever"] = (
        "Look for a lever that closes the damper for climbing. The maker's sheet lists it."
    )
    return {f"shock_{name}": text for name, text in plain.items()}


def _others() -> dict[str, str]:
    return {
        "kit_kind": "Look at what holds the shock: a sleeve in a bushing, a bearing with its axle, "
        "or two bolts of a trunnion head. Compare it with the supplier's picture.",
        "kit_width_mm": "Push the sleeve out and measure its length with a caliper, to 0.1 mm. It "
        "must fill the frame's gap.",
        "kit_bore_mm": "Measure the hole through the sleeve with a caliper, to 0.1 mm. The "
        "frame's bolt must slide through without play.",
        "kit_sleeve_diameter_mm": "Measure the outside of the sleeve with a caliper, to 0.05 mm. "
        "Measure where it is not worn.",
        "kit_bushing": "Look whether a bushing comes with it: none, a push-fit polymer one, or a "
        "metal-backed one that must be pressed in. Ask the supplier where the picture does not "
        "tell.",
        "kit_bushing_diameter_mm": "Measure the outside of the bushing with a caliper, to 0.05 mm. "
        "It must sit tight in the shock's eye.",
        "kit_thread": "Read the thread on the bolt or in the maker's sheet. A thread gauge tells "
        "the pitch.",
        "kit_protrusion_mm": "Put the bolt through the frame and measure how much thread stands "
        "out on the inside. Do it with every washer in place.",
        "kit_worn": "Take the sleeve out and look for scoring and for play in a new bushing. One "
        "that rattles or shows a step is worn.",
        "kit_mass_g": "Weigh the kit with all its pieces. To the gram is enough.",
        "kit_price": "Ask the supplier for the price. Ask what comes in the kit.",
        "kit_days": "Ask the supplier when it would be in the workshop. Ask whether it is on the "
        "shelf.",
        "spring_rate_n_per_mm": "Read the rate on the spring, often in lbf/in with a length beside "
        "it. A spring scale measures it: two loads, two lengths, the difference of one over that "
        "of the other.",
        "spring_mass_g": "Take the spring off the shock and weigh it. To the gram is enough.",
        "spring_inner_diameter_mm": "Measure the inside of the spring's end coil with a caliper, "
        "to 0.1 mm. Measure across it twice.",
        "spring_outer_diameter_mm": "Measure across the outside of the spring with a caliper. Take "
        "the widest coil.",
        "spring_free_length_mm": "Measure the spring's length off the shock, standing on a table. "
        "To the millimetre is enough.",
        "spring_usable_travel_mm": "Read the second number on the spring, or measure its free "
        "length less the length with all coils touching. The maker's figure leaves a reserve.",
        "tune_rebound_class": "Ask the workshop which rebound class the damper has after the work. "
        "Have it written on the bill.",
        "tune_compression_class": "Ask the workshop which compression class the damper has after "
        "the work. Have it written on the bill.",
        "tune_lockout_class": "Ask the workshop which lockout the damper has after the work. Have "
        "it written on the bill.",
    }
