// Made from the YAML files beside it; not to be edited. After a change of theirs:
//     WARMLUG_BLESS=1 cargo test --lib are_current
sets! {
"iec" {
 "id": "iec"
 "edition": "2026.1"
 "title": "IEC 60364, low-voltage electrical installations"
 "prevailing": ["BS 7671" "VDE 0100" "NF C 15-100"]
 "thermal": {
  "exponent": {
   "value": (2.0)
   "source": "common practice, no source; maintenance literature gives 1.6 to 2"
   "checked": "common-practice"
   "why": "The heat made in a contact is proportional to the square of the current. This exponent brings rounds of one visit that were read at different currents to one heating curve; what is scaled to the rated current is scaled by exponent_range."
  }
  "exponent_range": {
   "value": {
    "low": (1.6)
    "high": (2.0)
   }
   "source": "common practice, no source; maintenance literature gives 1.6 to 2"
   "checked": "common-practice"
   "why": "Every exponent in this range is equally likely: a rise or a difference is scaled to the rated current by the mean of (I_r/I)ⁿ, and its spread is part of the uncertainty. At the rated current nothing is scaled."
  }
  "least_load_fraction": {
   "value": "40 %"
   "source": "NFPA 70B (2023), 7.4.5"
   "checked": "confirmed"
   "why": "A condition of a complete inspection only. A grade does not depend on it: what was read at a lower current is scaled like everything else."
  }
  "full_load_fraction": {
   "value": "95 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A vehicle that draws 95 % of the set current makes 90 % of the heat; chargers regulate within a few percent and a clamp meter adds its own."
  }
  "long_round": {
   "value": "45 min"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The last reading should be taken after about an hour at full load. The inspector walks from place to place, so a round begun a quarter of an hour early still counts; whether heat had settled is judged by the readings, not by the clock."
  }
  "coverage_factor": {
   "value": (2.0)
   "source": "JCGM 100:2008, 6.2 and 6.3"
   "checked": "from-memory"
   "why": "The factor 2 covers about 95 % of a normal distribution."
  }
  "assumed_accuracy": {
   "value": {
    "of_reading": "2 %"
    "at_least": "2 K"
   }
   "source": "Common statement of infrared spot thermometers, the greater of 2 °C or 2 % of reading"
   "checked": "confirmed"
  }
  "assumed_current_accuracy": {
   "value": "3 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Clamp meters state 1.5 % to 3 % of reading, and a charger's own display not even that; at rated load 3 % of the current is 6 % of the rise."
  }
  "assumed_repeatability": {
   "value": "0.5 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Standard deviation of readings of one target, aimed anew each time. Makers state 0.3 K to 1 K as the most; where the visit gives no `repeatability`, this is the part of a thermometer's error that differs from reading to reading. The rest of its accuracy is a bias that all its readings share, and cancels in the difference between two of them."
  }
  "leg_difference": {
   "mildest": "pass"
   "edges": [{
    "from": "1 K"
    "grade": "note"
   } {
    "from": "4 K"
    "grade": "watch"
   } {
    "over": "15 K"
    "grade": "repair"
   }]
   "source": "ANSI/NETA MTS (2023), Table 100.18, between similar components under similar loading"
   "checked": "confirmed"
   "why": "The table is printed in whole degrees (1–3, 4–15, over 15) and leaves gaps; here a value belongs to a band from the band's lower edge, so that 3.9 K is still in the first. \"Possible deficiency, investigate\" becomes a note, \"probable deficiency, repair as time permits\" a watch with a second visit, because legs of one circuit a few kelvin apart are checked and re-torqued in the same visit, and \"major, repair immediately\" a repair. A difference that does not exceed its own expanded uncertainty is no finding, unless the difference as measured would be watched or worse: a poor instrument must not hide a large difference."
  }
  "rise": {
   "mildest": "pass"
   "edges": [{
    "from": "21 K"
    "grade": "note"
   } {
    "over": "40 K"
    "grade": "watch"
   } {
    "over": "60 K"
    "grade": "repair"
   }]
   "source": "IEC 60898-1:2015, table of temperature-rise limits, terminals 60 K; ANSI/NETA MTS (2023), Table 100.18, over ambient temperature, 21 K and 40 K"
   "checked": "confirmed"
   "why": "IEC has no bands for a circuit in service. Under 433.1 of IEC 60364-4-43 a device may carry all of its rated current for hours, where North American circuits keep to 80 % of it; a joint that rises 40 K there would rise 40 K / 0.8² = 62 K here. The terminal of a household breaker may rise 60 K in its type test; more than that is a repair. The bands of the table from 21 K and over 40 K are taken one grade milder than they are named for equipment at any load. A value belongs to a band from the band's lower edge, so that 20.9 K is still in the mildest."
  }
  "projected_margin": {
   "mildest": "pass"
   "edges": [{
    "under": "10 K"
    "grade": "watch"
   } {
    "under": "0 K"
    "grade": "repair"
   }]
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The limit is the lowest rating of terminal, insulation and receptacle. A projection from a spot thermometer to full load on the hottest day is uncertain by several kelvin; a margin below 10 K can therefore not be relied on, and none at all is an overloaded part."
  }
  "over_rating": {
   "value": "stop"
   "source": "IEC 60364-5-52:2009, 523.1 and Table 52.1"
   "checked": "from-memory"
   "why": "A surface already hotter than the part's rating, with the part inside hotter still, is being damaged now. This is the grade of one that is certainly over its rating; one that may not be is graded under over_rating_certain."
  }
  "over_rating_certain": {
   "value": "95 %"
   "source": "common practice, no source; probability that the true value exceeds a limit, after JCGM 106:2012"
   "checked": "common-practice"
   "why": "The probability from which a surface counts as certainly over its rating. Over the rating with less it is a repair, and below it by no more than the uncertainty a watch: beside a rating a reading that is within its uncertainty is not simply accepted."
  }
  "worse_than_before": {
   "mildest": "pass"
   "edges": [{
    "from": "1 K"
    "grade": "note"
   } {
    "from": "4 K"
    "grade": "watch"
   } {
    "over": "15 K"
    "grade": "repair"
   }]
   "source": "ANSI/NETA MTS (2023), Table 100.18, between similar components under similar loading"
   "checked": "confirmed"
   "why": "The same connection at the same load on an earlier day is the most similar component there is, so that the bands between similar components are used for its change at rated load. A change that does not exceed its own expanded uncertainty is no finding."
  }
  "contact_resistance": {
   "mildest": "pass"
   "edges": [{
    "over": (1.5)
    "grade": "watch"
   }]
   "source": "ANSI/NETA MTS (2023), contact resistance and bolted connections, deviation from similar connections of more than 50 % of the lowest value"
   "checked": "confirmed"
   "why": "The ratio of a connection's resistance to the least among connections of the same kind on the other legs of the same place. \"Investigate\" becomes a watch: a drop over a few milliohms depends on where the probes touch, so that it is a reason to look, re-torque and measure again. A ratio that does not exceed 1 by its own expanded uncertainty is no finding."
  }
  "contact_drop": {
   "mildest": "pass"
   "edges": [{
    "over": "22.5 mV"
    "grade": "watch"
   } {
    "over": "225 mV"
    "grade": "repair"
   }]
   "source": "IEC 60999-1:1999, voltage drop of a clamping unit after the test of electrical durability, at most 22.5 mV at the test current; repair from ten times that, our choice, no source"
   "checked": "from-memory"
   "why": "Equal drops in both legs hide from a comparison between them. The drop is brought to the charger's rated current; what a sound clamp keeps to after ageing in the laboratory is what it should keep to here. A drop that does not exceed the limit by its own expanded uncertainty is no finding, and over a device, a contact or a length of conductor more than a clamp is measured: hence a watch. Ten times as much is lost in none of them when sound: at 40 A it is 9 W in one spot."
  }
  "pattern": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A pattern of heat is a hint for whoever opens the cover, never a verdict; the differences on which it is based are graded separately."
  }
  "still_climbing": {
   "value": "1 K/h"
   "source": "IEC 60898-1:2015, temperature-rise test, steady when the rise changes by at most 1 K per hour"
   "checked": "confirmed"
  }
  "longest_time_constant": {
   "value": "60 min"
   "source": "common practice, no source; consistent with IEC 60898-1:2015, in whose tests small breakers take about 4 h to 1 K/h"
   "checked": "common-practice"
   "why": "A rise of 60 K with a time constant of 60 min changes by 60 K/h × e^(−4) = 1.1 K/h after 4 h. Where the readings do not show how much heat is still to come, at most r/(1 − e^(−t/τ)) is expected from a rise r after the time t: if that changes no grade, the rise counts as settled."
  }
  "slow_share": {
   "value": "45 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The joint warms up in minutes, the case and the wall behind it in hours. Readings taken within an hour hardly show the slow part, and a curve of one body ends too low. What may still come of it, up to this share of the settled rise, is added to the uncertainty of a settled rise and of a margin. The legs of one device have it in common, so that it does not count in a difference between them, and the same joint has it at every visit."
  }
  "slow_time_constant": {
   "value": "90 min"
   "source": "common practice, no source; consistent with IEC 60898-1:2015, in whose tests small breakers take about 4 h to 1 K/h"
   "checked": "common-practice"
   "why": "A slow part of 20 K with this time constant changes by 13.3 K/h × e^(−240/90) = 0.9 K/h after 4 h."
  }
  "spot_share": {
   "value": "50 %"
   "source": "Guidance of thermometer makers, target at least twice the spot where accuracy matters"
   "checked": "confirmed"
   "why": "The stated spot takes in most, not all, of what the instrument sees. Where the distance that this asks for lies inside the approach boundary, use an instrument with a narrower spot rather than going nearer."
  }
  "hottest_air": {
   "value": "40 °C"
   "source": "IEC 61439-1:2020, service conditions, air of at most 40 °C"
   "checked": "confirmed"
   "why": "The highest air that assemblies and household breakers are made for; lofts and enclosures in the sun get hotter, a cellar stays cooler, and both should be stated in the visit file."
  }
  "least_emissivity": {
   "value": (0.6)
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Below about 0.6 the correction is larger than the rise it corrects and depends on reflections that nobody measured."
  }
  "surfaces": {
   "insulation": {
    "value": {
     "low": (0.89)
     "high": (0.99)
    }
    "source": "General infrared emissivity tables, PVC 0.94 at 20 °C"
    "checked": "confirmed"
    "why": "Tabulated values hold within 0.05 at best."
   }
   "tape": {
    "value": {
     "low": (0.95)
     "high": (0.97)
    }
    "source": "General infrared emissivity tables, vinyl electrical tape"
    "checked": "confirmed"
   }
   "painted": {
    "value": {
     "low": (0.92)
     "high": (0.96)
    }
    "source": "General infrared emissivity tables, oil paint"
    "checked": "confirmed"
   }
   "plastic": {
    "value": {
     "low": (0.85)
     "high": (0.97)
    }
    "source": "General infrared emissivity tables, plastics"
    "checked": "from-memory"
   }
   "oxidised-copper": {
    "value": {
     "low": (0.4)
     "high": (0.8)
    }
    "source": "General infrared emissivity tables, oxidised copper"
    "checked": "confirmed"
   }
   "oxidised-aluminium": {
    "value": {
     "low": (0.2)
     "high": (0.4)
    }
    "source": "General infrared emissivity tables, oxidised aluminium"
    "checked": "confirmed"
   }
   "tinned": {
    "value": {
     "low": (0.04)
     "high": (0.3)
    }
    "source": "General infrared emissivity tables, bright tin 0.05"
    "checked": "confirmed"
    "why": "The upper end, for dulled tin, is from memory."
   }
   "plated": {
    "value": {
     "low": (0.05)
     "high": (0.5)
    }
    "source": "General infrared emissivity tables, nickel polished 0.05 to oxidised 0.5"
    "checked": "confirmed"
   }
   "bare-metal": {
    "value": {
     "low": (0.03)
     "high": (0.3)
    }
    "source": "General infrared emissivity tables, polished copper 0.03"
    "checked": "confirmed"
    "why": "The upper end, for dulled metal, is from memory."
   }
  }
  "unmarked_terminal": {
   "value": "70 °C"
   "source": "IEC 60364-5-52:2009, 523.1, Table 52.1, note on conductors above 70 °C"
   "checked": "from-memory"
   "why": "A conductor may run hotter than 70 °C only where it was made sure that the equipment at its ends is suitable; a visit with neither rating nor product standard is judged by that."
  }
  "terminal_rises": {
   "iec-60898-1": {
    "value": "60 K"
    "source": "IEC 60898-1:2015, table of temperature-rise limits, terminals for external connections"
    "checked": "confirmed"
    "why": "A limit of the rise, at rated current in the test; added to the hottest air it is the temperature that the device was shown to bear. The insulation of the conductor mostly bears less and then sets the limit."
   }
   "iec-60947-1": {
    "value": "65 K"
    "source": "IEC 60947-1:2020, Table 2, terminals of bare or tinned brass or tinned copper"
    "checked": "from-memory"
    "why": "Bare copper has 60 K, silver- or nickel-plated terminals 70 K; tinned ones are usual."
   }
   "iec-60947-2": {
    "value": "80 K"
    "source": "IEC 60947-2:2016, Table 7, terminals for external connections"
    "checked": "from-memory"
   }
   "iec-61439-1": {
    "value": "70 K"
    "source": "IEC 61439-1:2020, Table 6, terminals for external insulated conductors"
    "checked": "confirmed"
   }
  }
  "cover_rise": {
   "value": "30 K"
   "source": "IEC 61439-1:2020, Table 6, accessible external covers of metal"
   "checked": "from-memory"
   "why": "A closed cover has no terminal's rating; what counts is that people touch it. Covers of insulating material may rise 40 K; the lower limit is used, because the visit does not say what a cover is made of."
  }
  "shiny_target": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A reading of bright metal does not show its temperature, so nothing is graded by it; the note asks for tape on the part, or for the insulation beside it, next time."
  }
  "spot_too_wide": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A spot wider than its target mixes in what lies behind it and mostly reads too low."
  }
  "hot_without_load": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Without load a connection is as warm as the air. One that is warmer beyond the uncertainty was loaded shortly before, carries another load, or the air was measured elsewhere."
  }
  "still_climbing_grade": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The settled rise is not known; the last reading is its lower bound."
  }
  "current_over_charger": {
   "value": "watch"
   "source": "IEC 61851-1:2017, rated current of the charging station"
   "checked": "from-memory"
   "why": "A charger draws no more than it is rated for; more than that, beyond the meter's error, is a setting, a nameplate or a meter that is wrong."
  }
  "current_over_breaker": {
   "value": "repair"
   "source": "IEC 60364-4-43:2008, 433.1, design current not over the rated current of the device"
   "checked": "from-memory"
   "why": "The current that was measured is the design current of the circuit; it must not be over the rated current of the overcurrent device."
  }
  "load_too_low": {
   "value": "note"
   "source": "NFPA 70B (2023), 7.4.5"
   "checked": "confirmed"
   "why": "Below the least load nothing can be said of full load; the visit is incomplete as well."
  }
  "calibration_overdue": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The instrument may well be right; nobody has shown it since its due date."
  }
 }
 "conditions": {
  "clean": {
   "value": "pass"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Nothing was seen."
  }
  "dust": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Dust and insects hold moisture and hinder cooling; they are cleaned out in the same visit."
  }
  "seal-broken": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Water and insects get in, and contacts corrode within a season; the seal is replaced before that."
  }
  "corroded": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A corroded contact does not get better by tightening; it is cleaned or replaced and the moisture kept out. For a trace of tarnish the inspector gives a milder grade with a reason."
  }
  "damaged": {
   "value": "repair"
   "source": "IEC 60364-6:2016, 6.4.2.3 and 6.5.1.2"
   "checked": "from-memory"
  }
  "discoloured": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Insulation or plating changes colour well above its rating: the part has been too hot once, whatever it measures today."
  }
  "melted": {
   "value": "stop"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Melted or charred parts can fail in the next full-load hour and must not be energised."
  }
 }
 "torque": {
  "assumed_accuracy": {
   "value": "6 %"
   "source": "ISO 6789-1:2017, type II class A tool up to 10 N·m"
   "checked": "confirmed"
  }
  "moved": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A terminal relaxes after the first tightening, so that movement before the mark on a later visit is common; it was put right on site and is worth comparing next time."
  }
  "moved_again": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Metal relaxes once. A screw that was set right and has moved again is in a terminal that gives way; the device is replaced as time permits."
  }
  "moved_hot_and_worse": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Each of the three alone has other explanations. A screw that moved, a joint that is hot, and more heat than at an earlier visit leave one: the joint gives way, and it does so while it is in use."
  }
  "left_wrong": {
   "value": "repair"
   "source": "IEC 60364-5-52:2009, 526.1, and the maker's instructions under 510.3 of IEC 60364-5-51:2005"
   "checked": "from-memory"
   "why": "Left outside the maker's value, a connection is not known to carry its current for long."
  }
  "left_untold": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A connection that moved and of which nobody wrote down the final value may be loose."
  }
  "tool_overdue": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A torque set with a tool that nobody has checked since its due date is not verified."
  }
  "hot_over": {
   "value": "10 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Metal that is this much warmer than the air still shrinks by an amount that matters."
  }
  "tightened_hot": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A screw that was tightened hot is loose when cold. It is tightened again, cold."
  }
  "loosened": {
   "mildest": "note"
   "edges": [{
    "from": "50 %"
    "grade": "watch"
   }]
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Relaxation takes a part of the torque. A connection that has lost half of it was never tightened or is being worked loose, and is looked at again sooner although it was put right."
  }
  "fallback": {
   "by_screw": {
    "unit": "N·m"
    "torques": {
     "M2.6": (0.4)
     "M3": (0.5)
     "M3.5": (0.8)
     "M4": (1.2)
     "M4.5": (1.8)
     "M5": (2.0)
     "M6": (2.5)
     "M8": (3.5)
    }
    "source": "IEC 60947-1:2020, Table 4, column II; the same values in IEC 60898-1:2015 and IEC 60999-1:1999"
    "checked": "from-memory"
    "why": "For use only where the maker gives no value. Screws and nuts that are tightened with a screwdriver, by the nominal diameter of the thread."
   }
   "by_socket": {
    "unit": "N·m"
    "torques": {
     "M3.5-hex": (0.8)
     "M4-hex": (1.2)
     "M4.5-hex": (1.8)
     "M5-hex": (2.0)
     "M6-hex": (3.0)
     "M8-hex": (6.0)
     "M10-hex": (10.0)
     "M12-hex": (14.0)
     "M16-hex": (25.0)
    }
    "source": "IEC 60947-1:2020, Table 4, column III"
    "checked": "from-memory"
    "why": "Screws and nuts that are tightened by other means than a screwdriver, such as a recessed hexagon. M3.5, M4, M5, M8, M10, M12 and M16 were seen in a maker's manual."
   }
   "range": {
    "unit": "N·m"
    "screws": ["thinnest" "thickest"]
    "rows": [{
     "up_to": "2.5 mm²"
     "torques": [(0.4) (3.0)]
    } {
     "up_to": "4 mm²"
     "torques": [(0.5) (3.0)]
    } {
     "up_to": "6 mm²"
     "torques": [(0.8) (6.0)]
    } {
     "up_to": "16 mm²"
     "torques": [(1.2) (6.0)]
    } {
     "up_to": "35 mm²"
     "torques": [(2.0) (10.0)]
    } {
     "up_to": "70 mm²"
     "torques": [(2.5) (14.0)]
    } {
     "up_to": "500 mm²"
     "torques": [(3.5) (25.0)]
    }]
    "source": "Torques of IEC 60947-1:2020, Table 4; which screws take which conductor is common practice, no source"
    "checked": "from-memory"
    "why": "The least and the largest torque of screws that clamp a conductor of this size: M2.6, M3, M3.5, M4, M5, M6 and M8 at least, M6, M8, M10, M12 and M16 with a hexagon at most. A maker's value that is less than half or more than twice of these was probably typed in another unit, and is asked for."
   }
  }
 }
 "isolation": {
  "dead": {
   "value": "3 V"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A tester that loads the circuit shows a volt or two at most on dead conductors; a higher value is a back-feed, a wrong breaker, or coupling that has to be explained before hands go in."
  }
  "live": {
   "value": "50 V"
   "source": "IEC 60364-4-41:2005, 414.1, upper limit of extra-low voltage"
   "checked": "from-memory"
   "why": "The tester is proved on a source that would hurt; one that shows a few volts proves nothing."
  }
  "not_dead": {
   "value": "stop"
   "source": "EN 50110-1:2013, 6.2.4"
   "checked": "from-memory"
   "why": "A circuit that stays live when isolated is a danger for the next person who opens it."
  }
 }
 "questions": {
  "colder_than_air": {
   "value": "5 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Nothing that sheds heat to the air is colder than it. A temperature that is colder by more than a thermometer's error, and would be in order if its number were in the other unit, was probably typed in it. It is asked for, and enters no check until it is confirmed."
  }
  "torque_in_other_unit": {
   "value": "25 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A torque that is within this of the specified one after its number is read in another unit (in·lb for ft·lb or N·m, a factor of 12 or 8.9, or the reverse) was probably typed in it. A screw found loose is never asked for."
  }
  "emissivity_apart": {
   "value": (0.3)
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Published emissivities of a class of surface differ by less; a setting this far outside their range is a typing error or hides what was measured. A reading that would be hot with the usual setting counts all the same."
  }
 }
 "next_due": {
  "first": {
   "value": "6 months"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Connections relax most in their first heating cycles, so that the first return comes after half a year."
  }
  "clean": {
   "value": "12 months"
   "source": "common practice, no source; IEC 60364-6 (2016), 6.5.2, leaves the interval to the kind of installation and to national rules"
   "checked": "common-practice"
   "why": "A charger runs at full current for hours nearly every night, which hardly another circuit of a house does. The interval is for its connections; the whole installation has the longer one of the national rules."
  }
  "watch": {
   "value": "6 months"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Half the ordinary interval, so that a trend shows before it becomes a repair."
  }
  "repair": {
   "value": "1 month"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Time to get the part and do the work; until then the charger is set lower or left off, and after it the connection is measured again at the same load."
  }
  "hot_after_torque": {
   "value": "1 month"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A joint that is hot although its screw was set to the specified torque is not mended by torque; it is remade within weeks."
  }
  "at_once": {
   "value": ["leg-difference" "rise" "worse-than-before"]
   "source": "ANSI/NETA MTS (2023), Table 100.18, \"repair immediately\""
   "checked": "confirmed"
   "why": "Over 15 K between similar components, and over 40 K above the air, the table asks for repair immediately; the rise that is a repair here is larger. Whatever of it does not forbid charging, because a lower current keeps the parts within their limits, is due on the day of the visit."
  }
  "incomplete": {
   "value": "3 months"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "What was not done is done within the season."
  }
 }
 "circuit": {
  "standard_ratings": {
   "unit": "A"
   "value": [(6.0) (8.0) (10.0) (13.0) (16.0) (20.0) (25.0) (32.0) (40.0) (50.0) (63.0) (80.0) (100.0) (125.0)]
   "source": "IEC 60898-1:2015, preferred values of rated current"
   "checked": "from-memory"
   "why": "That they end at 125 A was seen in a public page."
  }
  "ampacity": {
   "kind": "methods"
   "unit": "A"
   "ambient": "30 °C"
   "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2" "E"]
   "tables": {
    "pvc-two-loaded": {
     "conductor": "70 °C"
     "loaded": (2.0)
     "copper": {
      "1.5 mm²": [(14.5) (14.0) (17.5) (16.5) (19.5) (22.0) (22.0) (22.0)]
      "2.5 mm²": [(19.5) (18.5) (24.0) (23.0) (27.0) (29.0) (28.0) (30.0)]
      "4 mm²": [(26.0) (25.0) (32.0) (30.0) (36.0) (37.0) (38.0) (40.0)]
      "6 mm²": [(34.0) (32.0) (41.0) (38.0) (46.0) (46.0) (48.0) (51.0)]
      "10 mm²": [(46.0) (43.0) (57.0) (52.0) (63.0) (60.0) (64.0) (70.0)]
      "16 mm²": [(61.0) (57.0) (76.0) (69.0) (85.0) (78.0) (83.0) (94.0)]
      "25 mm²": [(80.0) (75.0) (101.0) (90.0) (112.0) (99.0) (110.0) (119.0)]
      "35 mm²": [(99.0) (92.0) (125.0) (111.0) (138.0) (119.0) (132.0) (148.0)]
      "50 mm²": [(119.0) (110.0) (151.0) (133.0) (168.0) (140.0) (156.0) (180.0)]
     }
     "aluminium": {
      "16 mm²": [(48.0) (44.0) (60.0) (54.0) (66.0) (61.0) (63.0) (73.0)]
      "25 mm²": [(63.0) (58.0) (79.0) (71.0) (83.0) (77.0) (82.0) (89.0)]
      "35 mm²": [(77.0) (71.0) (97.0) (86.0) (103.0) (93.0) (98.0) (111.0)]
      "50 mm²": [(93.0) (86.0) (118.0) (104.0) (125.0) (109.0) (117.0) (135.0)]
     }
     "source": "IEC 60364-5-52:2009, Table B.52.2, and for method E Tables B.52.10 and B.52.11"
     "checked": "from-memory"
     "seen": [{
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "E"]
      "from": "2.5 mm²"
      "up_to": "50 mm²"
      "in": "www.kabelquerschnitt-berechnen.de/strombelastbarkeitstabelle, after DIN VDE 0298-4"
     } {
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "copper"
      "methods": ["B1" "B2" "D1" "D2" "E"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a second public transcription in source code, made for DS/HD 60364-5-52, compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "16 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A2" "B2" "C"]
      "from": "16 mm²"
      "up_to": "35 mm²"
      "in": "a maker’s sheet, Al Cables (www.scribd.com/document/717243843): A2, B2 and C"
     } {
      "material": "aluminium"
      "methods": ["A1" "B1" "C"]
      "from": "50 mm²"
      "up_to": "50 mm²"
      "in": "a maker’s sheet, Al Cables (www.scribd.com/document/717243843): A1, B1 and C"
     }]
     "why": "What was compared with published figures is under seen; method E of aluminium was not found. Every value but those of D2 agrees with the formula of Annex D, which a test computes."
    }
    "xlpe-two-loaded": {
     "conductor": "90 °C"
     "loaded": (2.0)
     "copper": {
      "1.5 mm²": [(19.0) (18.5) (23.0) (22.0) (24.0) (25.0) (27.0) (26.0)]
      "2.5 mm²": [(26.0) (25.0) (31.0) (30.0) (33.0) (33.0) (35.0) (36.0)]
      "4 mm²": [(35.0) (33.0) (42.0) (40.0) (45.0) (43.0) (46.0) (49.0)]
      "6 mm²": [(45.0) (42.0) (54.0) (51.0) (58.0) (53.0) (58.0) (63.0)]
      "10 mm²": [(61.0) (57.0) (75.0) (69.0) (80.0) (71.0) (77.0) (86.0)]
      "16 mm²": [(81.0) (76.0) (100.0) (91.0) (107.0) (91.0) (100.0) (115.0)]
      "25 mm²": [(106.0) (99.0) (133.0) (119.0) (138.0) (116.0) (129.0) (149.0)]
      "35 mm²": [(131.0) (121.0) (164.0) (146.0) (171.0) (139.0) (155.0) (185.0)]
      "50 mm²": [(158.0) (145.0) (198.0) (175.0) (209.0) (164.0) (183.0) (225.0)]
     }
     "aluminium": {
      "16 mm²": [(64.0) (60.0) (79.0) (72.0) (84.0) (71.0) (76.0) (91.0)]
      "25 mm²": [(84.0) (78.0) (105.0) (94.0) (101.0) (90.0) (98.0) (108.0)]
      "35 mm²": [(103.0) (96.0) (130.0) (115.0) (126.0) (108.0) (117.0) (135.0)]
      "50 mm²": [(125.0) (115.0) (157.0) (138.0) (154.0) (128.0) (139.0) (164.0)]
     }
     "source": "IEC 60364-5-52:2009, Table B.52.3, and for method E Tables B.52.12 and B.52.13"
     "checked": "from-memory"
     "seen": [{
      "material": "copper"
      "methods": ["A1" "B1"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "www.cse-distributors.co.uk/cable/technical-tables-useful-info/table-4e1a, after BS 7671, Table 4E1A"
     } {
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "copper"
      "methods": ["B1" "B2" "D1" "D2" "E"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a second public transcription in source code, made for DS/HD 60364-5-52, compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "16 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     }]
     "why": "What was compared with published figures is under seen; method E of aluminium was not found. Every value but those of D2 agrees with the formula of Annex D, which a test computes."
    }
    "pvc-three-loaded": {
     "conductor": "70 °C"
     "loaded": (3.0)
     "copper": {
      "1.5 mm²": [(13.5) (13.0) (15.5) (15.0) (17.5) (18.0) (19.0) (18.5)]
      "2.5 mm²": [(18.0) (17.5) (21.0) (20.0) (24.0) (24.0) (24.0) (25.0)]
      "4 mm²": [(24.0) (23.0) (28.0) (27.0) (32.0) (30.0) (33.0) (34.0)]
      "6 mm²": [(31.0) (29.0) (36.0) (34.0) (41.0) (38.0) (41.0) (43.0)]
      "10 mm²": [(42.0) (39.0) (50.0) (46.0) (57.0) (50.0) (54.0) (60.0)]
      "16 mm²": [(56.0) (52.0) (68.0) (62.0) (76.0) (64.0) (70.0) (80.0)]
      "25 mm²": [(73.0) (68.0) (89.0) (80.0) (96.0) (82.0) (92.0) (101.0)]
      "35 mm²": [(89.0) (83.0) (110.0) (99.0) (119.0) (98.0) (110.0) (126.0)]
      "50 mm²": [(108.0) (99.0) (134.0) (118.0) (144.0) (116.0) (130.0) (153.0)]
     }
     "aluminium": {
      "16 mm²": [(43.0) (41.0) (53.0) (48.0) (59.0) (50.0) (53.0) (61.0)]
      "25 mm²": [(57.0) (53.0) (70.0) (62.0) (73.0) (64.0) (69.0) (78.0)]
      "35 mm²": [(70.0) (65.0) (86.0) (77.0) (90.0) (77.0) (83.0) (96.0)]
      "50 mm²": [(84.0) (78.0) (104.0) (92.0) (110.0) (91.0) (99.0) (117.0)]
     }
     "source": "IEC 60364-5-52:2009, Table B.52.4, and for method E Tables B.52.10 and B.52.11"
     "checked": "from-memory"
     "seen": [{
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "E"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "www.kabelquerschnitt-berechnen.de/strombelastbarkeitstabelle, after DIN VDE 0298-4"
     } {
      "material": "copper"
      "methods": ["B2" "C"]
      "from": "4 mm²"
      "up_to": "50 mm²"
      "in": "Atlas Copco GA 75+ manual, p. 192 (www.easymanua.ls/atlas-copco/ga-75plus/manual?p=192), printed in whole amperes"
     } {
      "material": "copper"
      "methods": ["B2" "C"]
      "from": "1.5 mm²"
      "up_to": "2.5 mm²"
      "in": "Atlas Copco GA 7 VSD manual, p. 92 (www.easymanua.ls/atlas-copco/ga-7-vsd-med/manual?p=92), printed in whole amperes"
     } {
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "copper"
      "methods": ["B1" "B2" "D1" "D2" "E"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a second public transcription in source code, made for DS/HD 60364-5-52, compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "16 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A2" "B2" "C"]
      "from": "16 mm²"
      "up_to": "35 mm²"
      "in": "a maker’s sheet, Al Cables (www.scribd.com/document/717243843): A2, B2 and C"
     } {
      "material": "aluminium"
      "methods": ["A1" "B1" "C"]
      "from": "50 mm²"
      "up_to": "50 mm²"
      "in": "a maker’s sheet, Al Cables (www.scribd.com/document/717243843): A1, B1 and C"
     }]
     "why": "What was compared with published figures is under seen; method E of aluminium was not found. Every value but those of D2 agrees with the formula of Annex D, which a test computes."
    }
    "xlpe-three-loaded": {
     "conductor": "90 °C"
     "loaded": (3.0)
     "copper": {
      "1.5 mm²": [(17.0) (16.5) (20.0) (19.5) (22.0) (21.0) (23.0) (23.0)]
      "2.5 mm²": [(23.0) (22.0) (28.0) (26.0) (30.0) (28.0) (30.0) (32.0)]
      "4 mm²": [(31.0) (30.0) (37.0) (35.0) (40.0) (36.0) (39.0) (42.0)]
      "6 mm²": [(40.0) (38.0) (48.0) (44.0) (52.0) (44.0) (49.0) (54.0)]
      "10 mm²": [(54.0) (51.0) (66.0) (60.0) (71.0) (58.0) (65.0) (75.0)]
      "16 mm²": [(73.0) (68.0) (88.0) (80.0) (96.0) (75.0) (84.0) (100.0)]
      "25 mm²": [(95.0) (89.0) (117.0) (105.0) (119.0) (96.0) (107.0) (127.0)]
      "35 mm²": [(117.0) (109.0) (144.0) (128.0) (147.0) (115.0) (129.0) (158.0)]
      "50 mm²": [(141.0) (130.0) (175.0) (154.0) (179.0) (135.0) (153.0) (192.0)]
     }
     "aluminium": {
      "16 mm²": [(58.0) (55.0) (71.0) (64.0) (76.0) (59.0) (64.0) (77.0)]
      "25 mm²": [(76.0) (71.0) (93.0) (84.0) (90.0) (75.0) (82.0) (97.0)]
      "35 mm²": [(94.0) (87.0) (116.0) (103.0) (112.0) (90.0) (98.0) (120.0)]
      "50 mm²": [(113.0) (104.0) (140.0) (124.0) (136.0) (106.0) (117.0) (146.0)]
     }
     "source": "IEC 60364-5-52:2009, Table B.52.5, and for method E Tables B.52.12 and B.52.13"
     "checked": "from-memory"
     "seen": [{
      "material": "copper"
      "methods": ["A1" "B1"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "www.cse-distributors.co.uk/cable/technical-tables-useful-info/table-4e1a, after BS 7671, Table 4E1A"
     } {
      "material": "copper"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1" "D2"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     } {
      "material": "copper"
      "methods": ["B1" "B2" "D1" "D2" "E"]
      "from": "1.5 mm²"
      "up_to": "50 mm²"
      "in": "a second public transcription in source code, made for DS/HD 60364-5-52, compared cell by cell"
     } {
      "material": "aluminium"
      "methods": ["A1" "A2" "B1" "B2" "C" "D1"]
      "from": "16 mm²"
      "up_to": "50 mm²"
      "in": "a public transcription of Tables B.52.2 to B.52.5 in source code (a js/data.js that begins “Cable capacity data from IEC 60364-5-52 tables”), compared cell by cell"
     }]
     "why": "What was compared with published figures is under seen; method E of aluminium was not found. Every value but those of D2 agrees with the formula of Annex D, which a test computes."
    }
   }
   "ground": {
    "ambient": "20 °C"
    "correction": {
     "columns": ["70 °C" "90 °C"]
     "rows": [{
      "up_to": "10 °C"
      "factors": [(1.1) (1.07)]
     } {
      "up_to": "15 °C"
      "factors": [(1.05) (1.04)]
     } {
      "up_to": "20 °C"
      "factors": [(1.0) (1.0)]
     } {
      "up_to": "25 °C"
      "factors": [(0.95) (0.96)]
     } {
      "up_to": "30 °C"
      "factors": [(0.89) (0.93)]
     } {
      "up_to": "35 °C"
      "factors": [(0.84) (0.89)]
     } {
      "up_to": "40 °C"
      "factors": [(0.77) (0.85)]
     } {
      "up_to": "45 °C"
      "factors": [(0.71) (0.8)]
     } {
      "up_to": "50 °C"
      "factors": [(0.63) (0.76)]
     } {
      "up_to": "55 °C"
      "factors": [(0.55) (0.71)]
     } {
      "up_to": "60 °C"
      "factors": [(0.45) (0.65)]
     } {
      "up_to": "65 °C"
      "factors": [null (0.6)]
     } {
      "up_to": "70 °C"
      "factors": [null (0.53)]
     } {
      "up_to": "75 °C"
      "factors": [null (0.46)]
     } {
      "up_to": "80 °C"
      "factors": [null (0.38)]
     }]
     "source": "IEC 60364-5-52:2009, Table B.52.15"
     "checked": "confirmed"
     "why": "Up to 60 °C as in a public transcription of the table in source code; the rows from 65 °C on are from memory. For ground of 2.5 K·m/W. The table is printed for single temperatures; one between two of them takes the factor of the hotter."
    }
    "methods": {
     "D1": {
      "counts": "circuits"
      "rows": [{
       "up_to": (1.0)
       "factor": "100 %"
      } {
       "up_to": (2.0)
       "factor": "85 %"
      } {
       "up_to": (3.0)
       "factor": "75 %"
      } {
       "up_to": (4.0)
       "factor": "70 %"
      } {
       "up_to": (5.0)
       "factor": "65 %"
      } {
       "up_to": (6.0)
       "factor": "60 %"
      } {
       "up_to": (7.0)
       "factor": "57 %"
      } {
       "up_to": (8.0)
       "factor": "54 %"
      } {
       "up_to": (9.0)
       "factor": "52 %"
      } {
       "up_to": (20.0)
       "factor": "34 %"
      }]
      "beyond": "34 %"
      "source": "IEC 60364-5-52:2009, Table B.52.19, multi-core cables in single-way ducts that touch"
      "checked": "confirmed"
      "why": "Up to 9 circuits as in a public transcription of the table in source code. The table ends at 20 circuits; from 10 on its last factor is taken."
     }
     "D2": {
      "counts": "circuits"
      "rows": [{
       "up_to": (1.0)
       "factor": "100 %"
      } {
       "up_to": (2.0)
       "factor": "75 %"
      } {
       "up_to": (3.0)
       "factor": "65 %"
      } {
       "up_to": (4.0)
       "factor": "60 %"
      } {
       "up_to": (5.0)
       "factor": "55 %"
      } {
       "up_to": (6.0)
       "factor": "50 %"
      } {
       "up_to": (7.0)
       "factor": "45 %"
      } {
       "up_to": (8.0)
       "factor": "43 %"
      } {
       "up_to": (9.0)
       "factor": "41 %"
      } {
       "up_to": (12.0)
       "factor": "36 %"
      } {
       "up_to": (16.0)
       "factor": "32 %"
      }]
      "beyond": "29 %"
      "source": "IEC 60364-5-52:2009, Table B.52.18, cables that touch"
      "checked": "confirmed"
      "why": "As in a public transcription of the table in source code."
     }
    }
   }
  }
  "ambient_correction": {
   "columns": ["70 °C" "90 °C"]
   "rows": [{
    "up_to": "10 °C"
    "factors": [(1.22) (1.15)]
   } {
    "up_to": "15 °C"
    "factors": [(1.17) (1.12)]
   } {
    "up_to": "20 °C"
    "factors": [(1.12) (1.08)]
   } {
    "up_to": "25 °C"
    "factors": [(1.06) (1.04)]
   } {
    "up_to": "30 °C"
    "factors": [(1.0) (1.0)]
   } {
    "up_to": "35 °C"
    "factors": [(0.94) (0.96)]
   } {
    "up_to": "40 °C"
    "factors": [(0.87) (0.91)]
   } {
    "up_to": "45 °C"
    "factors": [(0.79) (0.87)]
   } {
    "up_to": "50 °C"
    "factors": [(0.71) (0.82)]
   } {
    "up_to": "55 °C"
    "factors": [(0.61) (0.76)]
   } {
    "up_to": "60 °C"
    "factors": [(0.5) (0.71)]
   } {
    "up_to": "65 °C"
    "factors": [null (0.65)]
   } {
    "up_to": "70 °C"
    "factors": [null (0.58)]
   } {
    "up_to": "75 °C"
    "factors": [null (0.5)]
   } {
    "up_to": "80 °C"
    "factors": [null (0.41)]
   }]
   "source": "IEC 60364-5-52:2009, Table B.52.14"
   "checked": "confirmed"
   "why": "The rows from 65 °C on, for XLPE, as in a public table of derating factors in source code. The table is printed for single temperatures; one between two of them takes the factor of the hotter."
  }
  "grouping": {
   "counts": "circuits"
   "rows": [{
    "up_to": (1.0)
    "factor": "100 %"
   } {
    "up_to": (2.0)
    "factor": "80 %"
   } {
    "up_to": (3.0)
    "factor": "70 %"
   } {
    "up_to": (4.0)
    "factor": "65 %"
   } {
    "up_to": (5.0)
    "factor": "60 %"
   } {
    "up_to": (6.0)
    "factor": "57 %"
   } {
    "up_to": (7.0)
    "factor": "54 %"
   } {
    "up_to": (8.0)
    "factor": "52 %"
   } {
    "up_to": (9.0)
    "factor": "50 %"
   } {
    "up_to": (12.0)
    "factor": "45 %"
   } {
    "up_to": (16.0)
    "factor": "41 %"
   }]
   "beyond": "38 %"
   "source": "IEC 60364-5-52:2009, Table B.52.17, item 1, bunched in air, on a surface, embedded or enclosed"
   "checked": "confirmed"
   "why": "As in a public transcription of the table in source code. Cables in a single layer on a wall or a tray have milder factors (items 2 to 5); the factors of a bunch err to the safe side for them. A count between two columns takes the larger."
  }
  "terminations": {
   "listed": ["70 °C"]
   "source": "IEC 60364-5-52:2009, 523.1, Table 52.1, note on conductors above 70 °C"
   "checked": "from-memory"
   "why": "Terminals whose rating the visit does not state are assumed to be suitable for a conductor of 70 °C; a 90 °C insulation then carries what a 70 °C one does."
  }
  "resistance": {
   "unit": "Ω/km"
   "at": "20 °C"
   "copper": {
    "coefficient": (0.00393)
    "solid": {
     "1.5 mm²": (12.1)
     "2.5 mm²": (7.41)
     "4 mm²": (4.61)
     "6 mm²": (3.08)
     "10 mm²": (1.83)
     "16 mm²": (1.15)
    }
    "stranded": {
     "1.5 mm²": (12.1)
     "2.5 mm²": (7.41)
     "4 mm²": (4.61)
     "6 mm²": (3.08)
     "10 mm²": (1.83)
     "16 mm²": (1.15)
     "25 mm²": (0.727)
     "35 mm²": (0.524)
     "50 mm²": (0.387)
    }
   }
   "aluminium": {
    "coefficient": (0.00403)
    "solid": {
     "16 mm²": (1.91)
     "25 mm²": (1.2)
     "35 mm²": (0.868)
    }
    "stranded": {
     "16 mm²": (1.91)
     "25 mm²": (1.2)
     "35 mm²": (0.868)
     "50 mm²": (0.641)
    }
   }
   "source": "IEC 60228:2004, Tables 1 and 2, classes 1 and 2, plain conductors; temperature coefficients of IEC 60287-1-1:2023, Table 1"
   "checked": "from-memory"
   "why": "The largest resistance that a conductor of the class may have. Flexible conductors of class 5 have up to 8 % more. Reactance is left out; up to 50 mm² it adds less than 2 % at a charger's power factor."
  }
  "receptacles": {
   "configurations": {
    "60309-16-2P+E": {
     "rating": "16 A"
     "voltage": "250 V"
    }
    "60309-32-2P+E": {
     "rating": "32 A"
     "voltage": "250 V"
    }
    "60309-63-2P+E": {
     "rating": "63 A"
     "voltage": "250 V"
    }
    "60309-16-3P+N+E": {
     "rating": "16 A"
     "voltage": "415 V"
    }
    "60309-32-3P+N+E": {
     "rating": "32 A"
     "voltage": "415 V"
    }
    "60309-63-3P+N+E": {
     "rating": "63 A"
     "voltage": "415 V"
    }
    "60884-16": {
     "rating": "16 A"
     "voltage": "250 V"
    }
   }
   "source": "IEC 60309-2:2021, standard sheets for 6 h, and IEC 60884-1:2022"
   "checked": "from-memory"
   "why": "Named by standard, rated current and contacts; 60884-16 is the household socket-outlet."
  }
  "yearly_energy": {
   "value": "2500 kWh"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "About 14,000 km a year at 18 kWh for 100 km. The loss in the run is printed for this much charging at rated current."
  }
  "checks": {
   "continuous-load": {
    "grade": "repair"
    "factor": (1.0)
    "full_rated_factor": (1.0)
    "source": "IEC 60364-4-43:2008, 433.1, condition (1), and IEC 60364-7-722:2018, 722.311"
    "checked": "from-memory"
    "why": "The design current of a connecting point is its full rated current, unless load control lowers it (confirmed in a national adoption); the device carries it at its rated current."
   }
   "standard-rating": {
    "grade": "note"
    "source": "IEC 60898-1:2015, preferred values of rated current"
    "checked": "from-memory"
    "why": "Another value is a misread label or an adjustable device; neither is a danger by itself."
   }
   "conductor-ampacity": {
    "grade": "repair"
    "source": "IEC 60364-5-52:2009, 523.1 and Annex B"
    "checked": "confirmed"
    "why": "Ampacity by reference method, loaded conductors and the temperature that insulation and terminals allow, corrected for the air or ground and for circuits side by side."
   }
   "conductor-protection": {
    "grade": "repair"
    "source": "IEC 60364-4-43:2008, 433.1, condition (1)"
    "checked": "from-memory"
   }
   "overload-protection": {
    "grade": "repair"
    "factor": (1.45)
    "devices": {
     "mcb": (1.45)
     "mccb": (1.3)
     "fuse": (1.6)
    }
    "small_fuse": {
     "below": "16 A"
     "multiple": (1.9)
    }
    "source": "IEC 60364-4-43:2008, 433.1, condition (2); conventional currents of IEC 60898-1:2015, IEC 60947-2:2016 and IEC 60269-1:2006"
    "checked": "from-memory"
    "why": "The current at which the device surely trips within the conventional time, over its rated current. For circuit-breakers the condition follows from the first; for fuses of class gG it asks for a larger conductor."
   }
   "voltage-drop": {
    "grade": "note"
    "branch": "5 %"
    "feeder": "5 %"
    "total": "5 %"
    "source": "IEC 60364-5-52:2009, Annex G, Table G.52.1, other uses, supply from a public network"
    "checked": "from-memory"
    "why": "The annex advises and does not bind; it counts from the origin of the installation. Conductor temperature at load is taken as air plus the rise that goes with the square of the current."
   }
   "aluminium-termination": {
    "grade": "repair"
    "source": "IEC 60364-5-52:2009, 526.2"
    "checked": "from-memory"
    "why": "Aluminium belongs only under terminals made for it; it creeps under a screw and expands a third more than copper."
   }
   "receptacle-configuration": {
    "grade": "repair"
    "configurations": ["60309-16-2P+E" "60309-32-2P+E" "60309-63-2P+E" "60309-16-3P+N+E" "60309-32-3P+N+E" "60309-63-3P+N+E" "60884-16"]
    "source": "IEC 60364-7-722:2018, 722.55.101"
    "checked": "from-memory"
    "why": "A vehicle connector to IEC 62196 belongs to the charger. Some countries do not allow the household socket-outlet for charging, or only up to a lower current."
   }
   "receptacle-rating": {
    "grade": "repair"
    "source": "IEC 60364-5-53:2019, 533, and IEC 60364-4-43:2008, 433.1"
    "checked": "from-memory"
    "why": "The device that protects the circuit protects the socket-outlet as well."
   }
   "receptacle-grade": {
    "grade": "watch"
    "above": "10 A"
    "accepted": ["industrial" "ev-listed"]
    "source": "common practice, no source"
    "checked": "common-practice"
    "why": "Household socket-outlets are tested for shorter loads; hours of full current every night loosen and overheat their contacts."
   }
   "individual-circuit": {
    "grade": "repair"
    "above_current": "0 A"
    "above_voltage": "0 V"
    "source": "IEC 60364-7-722:2018, 722.314"
    "checked": "from-memory"
    "why": "One circuit for each connecting point."
   }
   "residual-current": {
    "grade": "repair"
    "most": "30 mA"
    "alone": ["a-6ma" "b"]
    "with_dc_detection": ["a" "f"]
    "source": "IEC 60364-7-722:2018, 722.531.3"
    "checked": "confirmed"
    "why": "A smooth direct current of more than 6 mA from the vehicle blinds a device of type A. It is disconnected by an RDC-DD to IEC 62955, often inside the charger, or the device is of type B. A device of type A that has the detection in itself is written as a-6ma."
   }
   "disconnection-time": {
    "grade": "repair"
    "tn": "0.3 s"
    "tt": "0.3 s"
    "source": "IEC 61008-1:2010 and IEC 61009-1:2010, limits of break time, general type at its rated residual current; IEC 60364-4-41:2005, Table 41.1"
    "checked": "from-memory"
    "why": "Measured at the rated residual current, where the device is slowest. The 0.4 s (TN) and 0.2 s (TT) of Table 41.1 are for fault currents, well above it, at which a device that keeps 0.3 s here is fast enough."
   }
   "breaker-poles": {
    "grade": "repair"
    "source": "IEC 60364-4-43:2008, 431.1"
    "checked": "from-memory"
    "why": "A device that does not open every line leaves the circuit live when it is off, for whoever believes it dead."
   }
   "current-setting": {
    "grade": "note"
    "source": "IEC 60364-7-722:2018, 722.311"
    "checked": "from-memory"
    "why": "A setting below the nameplate counts as load control where users cannot change it: behind a cover that needs a tool, a lock or a password."
   }
   "managed-setting": {
    "grade": "note"
    "source": "IEC 60364-7-722:2018, 722.311"
    "checked": "from-memory"
    "why": "Load control counts where users cannot change its limit: behind a cover that needs a tool, a lock or a password."
   }
   "load-management": {
    "grade": "repair"
    "factor": (1.0)
    "source": "IEC 60364-7-722:2018, 722.311, and IEC 60364-4-43:2008, 433.1, condition (1)"
    "checked": "from-memory"
    "why": "The diversity factor of several connecting points may be below 1 where their load is controlled."
   }
   "breaker-derating": {
    "grade": "watch"
    "reference": "30 °C"
    "per_kelvin": "0.5 %"
    "side_by_side": [{
     "up_to": (1.0)
     "factor": "100 %"
    } {
     "up_to": (3.0)
     "factor": "90 %"
    } {
     "up_to": (5.0)
     "factor": "80 %"
    } {
     "up_to": (9.0)
     "factor": "70 %"
    }]
    "beyond": "60 %"
    "source": "IEC 60898-1:2015, reference temperature 30 °C; decrease in warmer air and beside others as makers state it for their breakers; rated diversity factors of IEC 61439-1:2020"
    "checked": "from-memory"
    "why": "Makers state 0.3 % to 1 % less for each kelvin above the reference temperature; the data of the device installed prevail. The reference temperature was seen in a maker's answer (se.com/in/en/faqs/FA369327)."
   }
   "earth-electrode": {
    "grade": "repair"
    "most": "50 V"
    "source": "IEC 60364-4-41:2005, 411.5.3"
    "checked": "from-memory"
    "why": "The resistance of the electrode and of the conductor to it, times the rated residual current of the device, is the voltage that stays on earthed bodies without tripping."
   }
   "grounding-conductor": {
    "grade": "repair"
    "same_up_to": "16 mm²"
    "fixed_up_to": "35 mm²"
    "source": "IEC 60364-5-54:2011, 543.1.1 and Table 54.2"
    "checked": "confirmed"
    "why": "Table as printed after IEC 60364-5-54 at electricalenclosure.blogspot.com (sizing of protective earthing conductor), and the same in IEC 61439-1 (2011), Table 5, at pangonilo.com. A smaller one may be shown to be enough by the adiabatic equation of 543.1.2; the inspector then gives another grade with the reason."
   }
   "feeder-protection": {
    "grade": "repair"
    "source": "IEC 60364-4-43:2008, 433.1, condition (1)"
    "checked": "from-memory"
   }
   "feeder-ampacity": {
    "grade": "repair"
    "source": "IEC 60364-5-52:2009, 523.1 and Annex B"
    "checked": "confirmed"
   }
   "pen-loss": {
    "grade": "repair"
    "source": "IEC 60364-7-722:2018, 722.411.4.1, and BS 7671:2018, 722.411.4.1"
    "checked": "from-memory"
    "why": "Where a PEN conductor of the network breaks, the bodies of the charger and the vehicle take on the voltage of the neutral. BS 7671 asks for disconnection above 70 V to earth within 5 s (matt-e.co.uk/commercial-installations), or for an electrode that keeps the touch voltage below that."
   }
   "splices": {
    "grade": "note"
    "most": (1.0)
    "source": "common practice, no source"
    "checked": "common-practice"
    "why": "One joint in a conductor, where the run changes its wiring, is usual. Every further one is another place to work loose."
   }
  }
 }
 "needed": {
  "supply.earthing": {
   "checks": ["disconnection-time"]
   "incomplete": "no"
   "source": "IEC 60364-4-41:2005, 411.3.2"
   "checked": "from-memory"
   "why": "The limits of both systems are the same for a device tested at its rated residual current."
  }
  "conductors.size": {
   "checks": ["conductor-ampacity" "conductor-protection" "overload-protection" "voltage-drop" "run-loss"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, Annex B"
   "checked": "from-memory"
   "why": "A size that the tables do not have may be far too thin."
  }
  "conductors.insulation": {
   "checks": ["conductor-ampacity" "conductor-protection" "overload-protection"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, 523.1 and Table 52.1"
   "checked": "from-memory"
  }
  "conductors.method": {
   "checks": ["conductor-ampacity" "conductor-protection" "overload-protection"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, Table B.52.1"
   "checked": "from-memory"
  }
  "conductors.circuits_together": {
   "checks": ["conductor-ampacity" "conductor-protection" "overload-protection"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, Table B.52.17"
   "checked": "from-memory"
  }
  "breaker.kind": {
   "checks": ["overload-protection"]
   "incomplete": "yes"
   "source": "IEC 60364-4-43:2008, 433.1, condition (2)"
   "checked": "from-memory"
   "why": "The current at which the device surely trips depends on its kind; it matters only where a fuse would not protect the conductor."
  }
  "conductors.length": {
   "checks": ["voltage-drop" "voltage-drop-total" "run-loss"]
   "incomplete": "no"
   "source": "IEC 60364-5-52:2009, Annex G"
   "checked": "from-memory"
   "why": "The annex advises; a long run costs energy and overheats nothing."
  }
  "charger.setting_restricted": {
   "checks": ["current-setting"]
   "incomplete": "no"
   "source": "IEC 60364-7-722:2018, 722.311"
   "checked": "from-memory"
   "why": "It can be seen on the charger or in its application."
  }
  "feeder.protected_by": {
   "checks": ["load-management"]
   "incomplete": "no"
   "source": "IEC 60364-7-722:2018, 722.311"
   "checked": "from-memory"
   "why": "It can be seen on the breaker of the feeder."
  }
  "supply.earth_resistance": {
   "checks": ["earth-electrode"]
   "incomplete": "no"
   "source": "IEC 60364-6:2016, 6.4.3.7.2"
   "checked": "from-memory"
   "why": "Needs an instrument of its own, and belongs to the verification of the installation; this inspection records it where it was measured."
  }
  "feeder.terminal_rating": {
   "checks": ["feeder-protection" "feeder-ampacity"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, 523.1"
   "checked": "from-memory"
  }
  "feeder.method": {
   "checks": ["feeder-protection" "feeder-ampacity"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, 523.1 and Annex B"
   "checked": "from-memory"
  }
  "feeder.size": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total" "feeder-protection" "feeder-ampacity"]
   "incomplete": "no"
   "source": "IEC 60364-5-52:2009, Annex G"
   "checked": "from-memory"
  }
  "feeder.length": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total"]
   "incomplete": "no"
   "source": "IEC 60364-5-52:2009, Annex G"
   "checked": "from-memory"
  }
  "feeder.load": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total"]
   "incomplete": "no"
   "source": "IEC 60364-5-52:2009, Annex G"
   "checked": "from-memory"
  }
  "places.connections.marked": {
   "checks": ["aluminium-termination"]
   "incomplete": "yes"
   "source": "IEC 60364-5-52:2009, 526.2"
   "checked": "from-memory"
   "why": "It can be seen on the terminal, and aluminium under a terminal for copper works loose."
  }
  "receptacle.configuration": {
   "checks": ["receptacle-configuration" "receptacle-rating"]
   "incomplete": "yes"
   "source": "IEC 60364-7-722:2018, 722.55.101"
   "checked": "from-memory"
  }
  "receptacle.grade": {
   "checks": ["receptacle-grade"]
   "incomplete": "yes"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "It can be seen on the socket-outlet, and one made for short loads is among the most frequent causes of burnt plugs."
  }
  "rcd.type": {
   "checks": ["residual-current"]
   "incomplete": "yes"
   "source": "IEC 60364-7-722:2018, 722.531.3"
   "checked": "confirmed"
   "why": "It can be seen on the device, and it protects people."
  }
  "rcd.dc_detection": {
   "checks": ["residual-current"]
   "incomplete": "yes"
   "source": "IEC 60364-7-722:2018, 722.531.3"
   "checked": "confirmed"
  }
  "rcd.rating": {
   "checks": ["residual-current" "earth-electrode"]
   "incomplete": "yes"
   "source": "IEC 60364-7-722:2018, 722.531.3"
   "checked": "confirmed"
  }
  "rcd.trip_time": {
   "checks": ["disconnection-time"]
   "incomplete": "no"
   "source": "IEC 60364-6:2016, 6.4.3.7"
   "checked": "from-memory"
   "why": "Needs an instrument of its own, and belongs to the verification of the installation; this inspection records it where it was measured."
  }
  "dedicated": {
   "checks": ["individual-circuit" "conductor-protection"]
   "incomplete": "no"
   "source": "IEC 60364-7-722:2018, 722.314"
   "checked": "from-memory"
   "why": "Its connections do not show what else the circuit serves; the overcurrent device limits what both draw together."
  }
  "disconnect.kind": {
   "checks": []
   "incomplete": "yes"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A switch has terminals of its own on both sides, which carry the charger's current and are inspected like all others; a breaker or a plug that disconnects is listed already."
  }
 }
 "starter": {
  "units": "si"
  "paper": "a4"
  "legs": "3"
  "rated": "16 A"
  "breaker": "20 A"
  "conductor": "4 mm² copper"
  "insulation": "70 °C"
  "hottest_air": "40 °C"
  "receptacle": "60309-32-3P+N+E"
  "supplies": {
   "1": {
    "phases": (1.0)
    "legs": ["L1" "N"]
    "voltage": "230 V"
    "earthing": "tn"
   }
   "3": {
    "phases": (3.0)
    "legs": ["L1" "L2" "L3" "N"]
    "voltage": "400 V"
    "earthing": "tn"
   }
  }
  "source": "IEC 60038:2009, Table 1, 230/400 V"
  "checked": "from-memory"
  "why": "The other values are the most usual ones; the starter visit says that nobody was asked."
 }
}
"us" {
 "id": "us"
 "edition": "2026.1"
 "title": "United States, NFPA 70 (NEC) 2023"
 "code": {
  "name": "NFPA 70"
  "edition": "2023"
 }
 "thermal": {
  "exponent": {
   "value": (2.0)
   "source": "common practice, no source; maintenance literature gives 1.6 to 2"
   "checked": "common-practice"
   "why": "The heat made in a contact is proportional to the square of the current. This exponent brings rounds of one visit that were read at different currents to one heating curve; what is scaled to the rated current is scaled by exponent_range."
  }
  "exponent_range": {
   "value": {
    "low": (1.6)
    "high": (2.0)
   }
   "source": "common practice, no source; maintenance literature gives 1.6 to 2"
   "checked": "common-practice"
   "why": "Every exponent in this range is equally likely: a rise or a difference is scaled to the rated current by the mean of (I_r/I)ⁿ, and its spread is part of the uncertainty. At the rated current nothing is scaled."
  }
  "least_load_fraction": {
   "value": "40 %"
   "source": "NFPA 70B (2023), 7.4.5"
   "checked": "confirmed"
   "why": "A condition of a complete inspection only. A grade does not depend on it: what was read at a lower current is scaled like everything else."
  }
  "full_load_fraction": {
   "value": "95 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A vehicle that draws 95 % of the set current makes 90 % of the heat; chargers regulate within a few percent and a clamp meter adds its own."
  }
  "long_round": {
   "value": "45 min"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The last reading should be taken after about an hour at full load. The inspector walks from place to place, so a round begun a quarter of an hour early still counts; whether heat had settled is judged by the readings, not by the clock."
  }
  "coverage_factor": {
   "value": (2.0)
   "source": "JCGM 100:2008, 6.2 and 6.3"
   "checked": "from-memory"
   "why": "The factor 2 covers about 95 % of a normal distribution."
  }
  "assumed_accuracy": {
   "value": {
    "of_reading": "2 %"
    "at_least": "2 K"
   }
   "source": "Common statement of infrared spot thermometers, the greater of 2 °C or 2 % of reading"
   "checked": "confirmed"
  }
  "assumed_current_accuracy": {
   "value": "3 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Clamp meters state 1.5 % to 3 % of reading, and a charger's own display not even that; at rated load 3 % of the current is 6 % of the rise."
  }
  "assumed_repeatability": {
   "value": "0.5 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Standard deviation of readings of one target, aimed anew each time. Makers state 0.3 K to 1 K as the most; where the visit gives no `repeatability`, this is the part of a thermometer's error that differs from reading to reading. The rest of its accuracy is a bias that all its readings share, and cancels in the difference between two of them."
  }
  "leg_difference": {
   "mildest": "pass"
   "edges": [{
    "from": "1 K"
    "grade": "note"
   } {
    "from": "4 K"
    "grade": "watch"
   } {
    "over": "15 K"
    "grade": "repair"
   }]
   "source": "ANSI/NETA MTS (2023), Table 100.18, between similar components under similar loading"
   "checked": "confirmed"
   "why": "The table is printed in whole degrees (1–3, 4–15, over 15) and leaves gaps; here a value belongs to a band from the band's lower edge, so that 3.9 K is still in the first. \"Possible deficiency, investigate\" becomes a note, \"probable deficiency, repair as time permits\" a watch with a second visit, because legs of one circuit a few kelvin apart are checked and re-torqued in the same visit, and \"major, repair immediately\" a repair. A difference that does not exceed its own expanded uncertainty is no finding, unless the difference as measured would be watched or worse: a poor instrument must not hide a large difference."
  }
  "rise": {
   "mildest": "pass"
   "edges": [{
    "from": "21 K"
    "grade": "watch"
   } {
    "over": "40 K"
    "grade": "repair"
   }]
   "source": "ANSI/NETA MTS (2023), Table 100.18, over ambient temperature"
   "checked": "confirmed"
   "why": "The published bands are for equipment at whatever load it happens to carry; here the reading is made, or scaled to, the charger's full continuous current, where every sound connection rises some degrees (UL 489 allows a breaker terminal 50 K). The two mildest bands, 1–10 K and 11–20 K, are therefore in order and printed with their numbers: a rise of 11–20 K is ordinary at full load, and a note on every healthy terminal would hide the one that needs a look. 21–40 K, \"monitor until corrected\", is a watch. Over 40 K is a repair. A value belongs to a band from the band's lower edge, so that 20.9 K is still in the second."
  }
  "projected_margin": {
   "mildest": "pass"
   "edges": [{
    "under": "10 K"
    "grade": "watch"
   } {
    "under": "0 K"
    "grade": "repair"
   }]
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The limit is the lowest rating of terminal, insulation and receptacle. A projection from a spot thermometer to full load on the hottest day is uncertain by several kelvin; a margin below 10 K can therefore not be relied on, and none at all is an overloaded part."
  }
  "over_rating": {
   "value": "stop"
   "source": "NFPA 70 (2023), 110.14(C) and 310.14(A)(3)"
   "checked": "from-memory"
   "why": "A surface already hotter than the part's rating, with the part inside hotter still, is being damaged now. This is the grade of one that is certainly over its rating; one that may not be is graded under over_rating_certain."
  }
  "over_rating_certain": {
   "value": "95 %"
   "source": "common practice, no source; probability that the true value exceeds a limit, after JCGM 106:2012"
   "checked": "common-practice"
   "why": "The probability from which a surface counts as certainly over its rating. Over the rating with less it is a repair, and below it by no more than the uncertainty a watch: beside a rating a reading that is within its uncertainty is not simply accepted."
  }
  "worse_than_before": {
   "mildest": "pass"
   "edges": [{
    "from": "1 K"
    "grade": "note"
   } {
    "from": "4 K"
    "grade": "watch"
   } {
    "over": "15 K"
    "grade": "repair"
   }]
   "source": "ANSI/NETA MTS (2023), Table 100.18, between similar components under similar loading"
   "checked": "confirmed"
   "why": "The same connection at the same load on an earlier day is the most similar component there is, so that the bands between similar components are used for its change at rated load. A change that does not exceed its own expanded uncertainty is no finding."
  }
  "contact_resistance": {
   "mildest": "pass"
   "edges": [{
    "over": (1.5)
    "grade": "watch"
   }]
   "source": "ANSI/NETA MTS (2023), contact resistance and bolted connections, deviation from similar connections of more than 50 % of the lowest value"
   "checked": "confirmed"
   "why": "The ratio of a connection's resistance to the least among connections of the same kind on the other legs of the same place. \"Investigate\" becomes a watch: a drop over a few milliohms depends on where the probes touch, so that it is a reason to look, re-torque and measure again. A ratio that does not exceed 1 by its own expanded uncertainty is no finding."
  }
  "contact_drop": {
   "mildest": "pass"
   "edges": [{
    "over": "22.5 mV"
    "grade": "watch"
   } {
    "over": "225 mV"
    "grade": "repair"
   }]
   "source": "IEC 60999-1:1999, voltage drop of a clamping unit after the test of electrical durability, at most 22.5 mV at the test current; repair from ten times that, our choice, no source"
   "checked": "from-memory"
   "why": "Equal drops in both legs hide from a comparison between them. The drop is brought to the charger's rated current; what a sound clamp keeps to after ageing in the laboratory is what it should keep to here. A drop that does not exceed the limit by its own expanded uncertainty is no finding, and over a device, a contact or a length of conductor more than a clamp is measured: hence a watch. Ten times as much is lost in none of them when sound: at 40 A it is 9 W in one spot."
  }
  "pattern": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A pattern of heat is a hint for whoever opens the cover, never a verdict; the differences on which it is based are graded separately."
  }
  "still_climbing": {
   "value": "1 K/h"
   "source": "IEC 60898-1:2015, temperature-rise test, steady when the rise changes by at most 1 K per hour"
   "checked": "confirmed"
  }
  "longest_time_constant": {
   "value": "60 min"
   "source": "common practice, no source; consistent with IEC 60898-1:2015, in whose tests small breakers take about 4 h to 1 K/h"
   "checked": "common-practice"
   "why": "A rise of 60 K with a time constant of 60 min changes by 60 K/h × e^(−4) = 1.1 K/h after 4 h. Where the readings do not show how much heat is still to come, at most r/(1 − e^(−t/τ)) is expected from a rise r after the time t: if that changes no grade, the rise counts as settled."
  }
  "slow_share": {
   "value": "45 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The joint warms up in minutes, the case and the wall behind it in hours. Readings taken within an hour hardly show the slow part, and a curve of one body ends too low. What may still come of it, up to this share of the settled rise, is added to the uncertainty of a settled rise and of a margin. The legs of one device have it in common, so that it does not count in a difference between them, and the same joint has it at every visit."
  }
  "slow_time_constant": {
   "value": "90 min"
   "source": "common practice, no source; consistent with IEC 60898-1:2015, in whose tests small breakers take about 4 h to 1 K/h"
   "checked": "common-practice"
   "why": "A slow part of 20 K with this time constant changes by 13.3 K/h × e^(−240/90) = 0.9 K/h after 4 h."
  }
  "spot_share": {
   "value": "50 %"
   "source": "Guidance of thermometer makers, target at least twice the spot where accuracy matters"
   "checked": "confirmed"
   "why": "The stated spot takes in most, not all, of what the instrument sees. Where the distance that this asks for lies inside the approach boundary, use an instrument with a narrower spot rather than going nearer."
  }
  "hottest_air": {
   "value": "40 °C"
   "source": "UL 489 (2016), reference ambient of breaker temperature tests"
   "checked": "confirmed"
   "why": "A garage or an outdoor wall on a hot day; attics and enclosures in the sun get hotter, which should be stated in the visit file."
  }
  "least_emissivity": {
   "value": (0.6)
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Below about 0.6 the correction is larger than the rise it corrects and depends on reflections that nobody measured."
  }
  "surfaces": {
   "insulation": {
    "value": {
     "low": (0.89)
     "high": (0.99)
    }
    "source": "General infrared emissivity tables, PVC 0.94 at 20 °C"
    "checked": "confirmed"
    "why": "Tabulated values hold within 0.05 at best."
   }
   "tape": {
    "value": {
     "low": (0.95)
     "high": (0.97)
    }
    "source": "General infrared emissivity tables, vinyl electrical tape"
    "checked": "confirmed"
   }
   "painted": {
    "value": {
     "low": (0.92)
     "high": (0.96)
    }
    "source": "General infrared emissivity tables, oil paint"
    "checked": "confirmed"
   }
   "plastic": {
    "value": {
     "low": (0.85)
     "high": (0.97)
    }
    "source": "General infrared emissivity tables, plastics"
    "checked": "from-memory"
   }
   "oxidised-copper": {
    "value": {
     "low": (0.4)
     "high": (0.8)
    }
    "source": "General infrared emissivity tables, oxidised copper"
    "checked": "confirmed"
   }
   "oxidised-aluminium": {
    "value": {
     "low": (0.2)
     "high": (0.4)
    }
    "source": "General infrared emissivity tables, oxidised aluminium"
    "checked": "confirmed"
   }
   "tinned": {
    "value": {
     "low": (0.04)
     "high": (0.3)
    }
    "source": "General infrared emissivity tables, bright tin 0.05"
    "checked": "confirmed"
    "why": "The upper end, for dulled tin, is from memory."
   }
   "plated": {
    "value": {
     "low": (0.05)
     "high": (0.5)
    }
    "source": "General infrared emissivity tables, nickel polished 0.05 to oxidised 0.5"
    "checked": "confirmed"
   }
   "bare-metal": {
    "value": {
     "low": (0.03)
     "high": (0.3)
    }
    "source": "General infrared emissivity tables, polished copper 0.03"
    "checked": "confirmed"
    "why": "The upper end, for dulled metal, is from memory."
   }
  }
  "unmarked_terminal": {
   "value": "60 °C"
   "source": "NFPA 70 (2023), 110.14(C)(1)(a)"
   "checked": "confirmed"
   "why": "Terminals for 100 A and less are taken at 60 °C unless listed and identified for more; a visit without terminal_rating is judged by that."
  }
  "breaker_rise": {
   "value": {
    "most": "50 K"
    "full_rated": "60 K"
    "grade": "watch"
   }
   "source": "UL 489 (2016), temperature test in air of 40 °C, wiring terminals"
   "checked": "confirmed"
   "why": "At the breaker's own rated current; what was read at the charger's, which is four fifths of it, is scaled up. full_rated is for breakers listed for operation at 100 % of their rating. A terminal that would exceed it in the laboratory has a poor joint, or is not what was listed."
  }
  "cover_rise": {
   "value": "30 K"
   "source": "IEC 61439-1:2020, Table 6, accessible external covers of metal"
   "checked": "from-memory"
   "why": "A closed cover has no terminal's rating; what counts is that people touch it. Covers of insulating material may rise 40 K; the lower limit is used, because the visit does not say what a cover is made of."
  }
  "shiny_target": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A reading of bright metal does not show its temperature, so nothing is graded by it; the note asks for tape on the part, or for the insulation beside it, next time."
  }
  "spot_too_wide": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A spot wider than its target mixes in what lies behind it and mostly reads too low."
  }
  "hot_without_load": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Without load a connection is as warm as the air. One that is warmer beyond the uncertainty was loaded shortly before, carries another load, or the air was measured elsewhere."
  }
  "still_climbing_grade": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The settled rise is not known; the last reading is its lower bound."
  }
  "current_over_charger": {
   "value": "watch"
   "source": "NFPA 70 (2023), 110.3(B), equipment used as it was listed"
   "checked": "from-memory"
   "why": "A charger draws no more than it is rated for; more than that, beyond the meter's error, is a setting, a nameplate or a meter that is wrong."
  }
  "current_over_breaker": {
   "value": "repair"
   "source": "NFPA 70 (2023), 210.20(A) and 625.41"
   "checked": "from-memory"
   "why": "The current that was measured is the continuous load; with the factor of continuous-load it must not be over the rating of the overcurrent device."
  }
  "load_too_low": {
   "value": "note"
   "source": "NFPA 70B (2023), 7.4.5"
   "checked": "confirmed"
   "why": "Below the least load nothing can be said of full load; the visit is incomplete as well."
  }
  "calibration_overdue": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "The instrument may well be right; nobody has shown it since its due date."
  }
 }
 "conditions": {
  "clean": {
   "value": "pass"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Nothing was seen."
  }
  "dust": {
   "value": "note"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Dust and insects hold moisture and hinder cooling; they are cleaned out in the same visit."
  }
  "seal-broken": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Water and insects get in, and contacts corrode within a season; the seal is replaced before that."
  }
  "corroded": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A corroded contact does not get better by tightening; it is cleaned or replaced and the moisture kept out. For a trace of tarnish the inspector gives a milder grade with a reason."
  }
  "damaged": {
   "value": "repair"
   "source": "NFPA 70 (2023), 110.12(B)"
   "checked": "from-memory"
  }
  "discoloured": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Insulation or plating changes colour well above its rating: the part has been too hot once, whatever it measures today."
  }
  "melted": {
   "value": "stop"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Melted or charred parts can fail in the next full-load hour and must not be energised."
  }
 }
 "torque": {
  "assumed_accuracy": {
   "value": "6 %"
   "source": "ISO 6789-1:2017, type II class A tool up to 10 N·m"
   "checked": "confirmed"
  }
  "moved": {
   "value": "note"
   "source": "NFPA 70 (2023), Informative Annex I"
   "checked": "confirmed"
   "why": "A terminal relaxes after the first tightening, so that movement before the mark on a later visit is common; it was put right on site and is worth comparing next time."
  }
  "moved_again": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Metal relaxes once. A screw that was set right and has moved again is in a terminal that gives way; the device is replaced as time permits."
  }
  "moved_hot_and_worse": {
   "value": "repair"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Each of the three alone has other explanations. A screw that moved, a joint that is hot, and more heat than at an earlier visit leave one: the joint gives way, and it does so while it is in use."
  }
  "left_wrong": {
   "value": "repair"
   "source": "NFPA 70 (2023), 110.14(D)"
   "checked": "confirmed"
   "why": "Left outside the marked value, the connection does not comply."
  }
  "left_untold": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A connection that moved and of which nobody wrote down the final value may be loose."
  }
  "tool_overdue": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A torque set with a tool that nobody has checked since its due date is not verified."
  }
  "hot_over": {
   "value": "10 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Metal that is this much warmer than the air still shrinks by an amount that matters."
  }
  "tightened_hot": {
   "value": "watch"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A screw that was tightened hot is loose when cold. It is tightened again, cold."
  }
  "loosened": {
   "mildest": "note"
   "edges": [{
    "from": "50 %"
    "grade": "watch"
   }]
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Relaxation takes a part of the torque. A connection that has lost half of it was never tightened or is being worked loose, and is looked at again sooner although it was put right."
  }
  "fallback": {
   "by_conductor": {
    "unit": "in·lb"
    "screws": ["slotted-10" "slotted-10-large" "split-bolt" "hex-head"]
    "rows": [{
     "up_to": "10 AWG"
     "torques": [(20.0) (35.0) (80.0) (75.0)]
    } {
     "up_to": "8 AWG"
     "torques": [(25.0) (40.0) (80.0) (75.0)]
    } {
     "up_to": "4 AWG"
     "torques": [(35.0) (45.0) (165.0) (110.0)]
    } {
     "up_to": "3 AWG"
     "torques": [(35.0) (50.0) (275.0) (150.0)]
    } {
     "up_to": "2 AWG"
     "torques": [(40.0) (50.0) (275.0) (150.0)]
    } {
     "up_to": "1 AWG"
     "torques": [null (50.0) (275.0) (150.0)]
    } {
     "up_to": "2/0 AWG"
     "torques": [null (50.0) (385.0) (180.0)]
    } {
     "up_to": "4/0 AWG"
     "torques": [null (50.0) (500.0) (250.0)]
    } {
     "up_to": "350 kcmil"
     "torques": [null (50.0) (650.0) (325.0)]
    } {
     "up_to": "400 kcmil"
     "torques": [null (50.0) (825.0) (325.0)]
    } {
     "up_to": "500 kcmil"
     "torques": [null (50.0) (825.0) (375.0)]
    }]
    "source": "NFPA 70 (2023), Informative Annex I, Table I.1, after UL 486A-486B (2018)"
    "checked": "confirmed"
    "why": "For use only where the maker gives no value. slotted-10 is a screw No. 10 or larger with a slot no wider than 1.2 mm (0.047 in) and no longer than 6.4 mm (1/4 in), slotted-10-large one with a larger slot, split-bolt the hexagon of a split-bolt connector, hex-head the outside hexagon of another connector."
   }
   "by_screw": {
    "unit": "in·lb"
    "up_to": "8 AWG"
    "torques": {
     "slot-1/8": (7.0)
     "slot-1/8-wide": (9.0)
     "slot-5/32": (7.0)
     "slot-5/32-wide": (12.0)
     "slot-3/16": (7.0)
     "slot-3/16-wide": (12.0)
     "slot-7/32": (7.0)
     "slot-7/32-wide": (12.0)
     "slot-1/4": (9.0)
     "slot-1/4-wide": (12.0)
     "slot-9/32-wide": (15.0)
     "slot-5/16-wide": (20.0)
    }
    "source": "NFPA 70 (2023), Informative Annex I, Table I.2, after UL 486A-486B (2018)"
    "checked": "confirmed"
    "why": "Slotted screws smaller than No. 10 by slot length in inches, slot-1/8 for any less than 5/32 in and slot-5/16 for any over 9/32 in; -wide with a slot of 1.2 mm (0.047 in) or more."
   }
   "by_socket": {
    "unit": "in·lb"
    "torques": {
     "hex-1/8": (45.0)
     "hex-5/32": (100.0)
     "hex-3/16": (120.0)
     "hex-7/32": (150.0)
     "hex-1/4": (200.0)
     "hex-5/16": (275.0)
     "hex-3/8": (375.0)
     "hex-1/2": (500.0)
     "hex-9/16": (600.0)
    }
    "source": "NFPA 70 (2023), Informative Annex I, Table I.3, after UL 486A-486B (2018)"
    "checked": "confirmed"
    "why": "Screws with a recessed hexagon or square, by inches across flats."
   }
  }
 }
 "isolation": {
  "dead": {
   "value": "3 V"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A tester that loads the circuit shows a volt or two at most on dead conductors; a higher value is a back-feed, a wrong breaker, or coupling that has to be explained before hands go in."
  }
  "live": {
   "value": "50 V"
   "source": "NFPA 70E (2021), 110.4"
   "checked": "from-memory"
   "why": "The tester is proved on a source that would hurt; one that shows a few volts proves nothing. 50 V is where the standard begins to ask for protection."
  }
  "not_dead": {
   "value": "stop"
   "source": "NFPA 70E (2021), 120.5(7)"
   "checked": "confirmed"
   "why": "A circuit that stays live when isolated is a danger for the next person who opens it."
  }
 }
 "questions": {
  "colder_than_air": {
   "value": "5 K"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Nothing that sheds heat to the air is colder than it. A temperature that is colder by more than a thermometer's error, and would be in order if its number were in the other unit, was probably typed in it. It is asked for, and enters no check until it is confirmed."
  }
  "torque_in_other_unit": {
   "value": "25 %"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A torque that is within this of the specified one after its number is read in another unit (in·lb for ft·lb or N·m, a factor of 12 or 8.9, or the reverse) was probably typed in it. A screw found loose is never asked for."
  }
  "emissivity_apart": {
   "value": (0.3)
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Published emissivities of a class of surface differ by less; a setting this far outside their range is a typing error or hides what was measured. A reading that would be hot with the usual setting counts all the same."
  }
 }
 "next_due": {
  "first": {
   "value": "6 months"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Connections relax most in their first heating cycles, so that the first return comes after half a year; acceptance-testing custom asks for it within 12 months."
  }
  "clean": {
   "value": "12 months"
   "source": "NFPA 70B (2023), thermography interval"
   "checked": "confirmed"
   "why": "Homes lie outside the scope of NFPA 70B; its interval is used as the measure there too."
  }
  "watch": {
   "value": "6 months"
   "source": "NFPA 70B (2023), thermography interval for equipment condition 3"
   "checked": "confirmed"
  }
  "repair": {
   "value": "1 month"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "Time to get the part and do the work; until then the charger is set lower or left off, and after it the connection is measured again at the same load."
  }
  "hot_after_torque": {
   "value": "1 month"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A joint that is hot although its screw was set to the specified torque is not mended by torque; it is remade within weeks."
  }
  "at_once": {
   "value": ["leg-difference" "rise" "worse-than-before"]
   "source": "ANSI/NETA MTS (2023), Table 100.18, \"repair immediately\""
   "checked": "confirmed"
   "why": "Over 15 K between similar components, and over 40 K above the air, the table asks for repair immediately. Whatever of it does not forbid charging, because a lower current keeps the parts within their limits, is due on the day of the visit."
  }
  "incomplete": {
   "value": "3 months"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "What was not done is done within the season."
  }
 }
 "circuit": {
  "standard_ratings": {
   "unit": "A"
   "value": [(10.0) (15.0) (20.0) (25.0) (30.0) (35.0) (40.0) (45.0) (50.0) (60.0) (70.0) (80.0) (90.0) (100.0) (110.0) (125.0) (150.0) (175.0) (200.0) (225.0) (250.0) (300.0) (350.0) (400.0) (450.0) (500.0) (600.0) (700.0) (800.0) (1000.0) (1200.0) (1600.0) (2000.0) (2500.0) (3000.0) (4000.0) (5000.0) (6000.0)]
   "source": "NFPA 70 (2023), 240.6(A)"
   "checked": "confirmed"
   "why": "10 A is new in the 2023 edition."
  }
  "ampacity": {
   "kind": "columns"
   "unit": "A"
   "ambient": "30 °C"
   "columns": ["60 °C" "75 °C" "90 °C"]
   "copper": {
    "14 AWG": [(15.0) (20.0) (25.0)]
    "12 AWG": [(20.0) (25.0) (30.0)]
    "10 AWG": [(30.0) (35.0) (40.0)]
    "8 AWG": [(40.0) (50.0) (55.0)]
    "6 AWG": [(55.0) (65.0) (75.0)]
    "4 AWG": [(70.0) (85.0) (95.0)]
    "3 AWG": [(85.0) (100.0) (115.0)]
    "2 AWG": [(95.0) (115.0) (130.0)]
    "1 AWG": [(110.0) (130.0) (145.0)]
    "1/0 AWG": [(125.0) (150.0) (170.0)]
    "2/0 AWG": [(145.0) (175.0) (195.0)]
    "3/0 AWG": [(165.0) (200.0) (225.0)]
    "4/0 AWG": [(195.0) (230.0) (260.0)]
    "250 kcmil": [(215.0) (255.0) (290.0)]
    "300 kcmil": [(240.0) (285.0) (320.0)]
    "350 kcmil": [(260.0) (310.0) (350.0)]
    "400 kcmil": [(280.0) (335.0) (380.0)]
    "500 kcmil": [(320.0) (380.0) (430.0)]
   }
   "aluminium": {
    "12 AWG": [(15.0) (20.0) (25.0)]
    "10 AWG": [(25.0) (30.0) (35.0)]
    "8 AWG": [(35.0) (40.0) (45.0)]
    "6 AWG": [(40.0) (50.0) (55.0)]
    "4 AWG": [(55.0) (65.0) (75.0)]
    "3 AWG": [(65.0) (75.0) (85.0)]
    "2 AWG": [(75.0) (90.0) (100.0)]
    "1 AWG": [(85.0) (100.0) (115.0)]
    "1/0 AWG": [(100.0) (120.0) (135.0)]
    "2/0 AWG": [(115.0) (135.0) (150.0)]
    "3/0 AWG": [(130.0) (155.0) (175.0)]
    "4/0 AWG": [(150.0) (180.0) (205.0)]
    "250 kcmil": [(170.0) (205.0) (230.0)]
    "300 kcmil": [(195.0) (230.0) (260.0)]
    "350 kcmil": [(210.0) (250.0) (280.0)]
    "400 kcmil": [(225.0) (270.0) (305.0)]
    "500 kcmil": [(260.0) (310.0) (350.0)]
   }
   "source": "NFPA 70 (2023), Table 310.16"
   "checked": "confirmed"
   "why": "Copies older than the 2011 edition differ in some places. The aluminium columns hold for copper-clad aluminium too."
  }
  "ambient_correction": {
   "columns": ["60 °C" "75 °C" "90 °C"]
   "rows": [{
    "up_to": "10 °C"
    "factors": [(1.29) (1.2) (1.15)]
   } {
    "up_to": "15 °C"
    "factors": [(1.22) (1.15) (1.12)]
   } {
    "up_to": "20 °C"
    "factors": [(1.15) (1.11) (1.08)]
   } {
    "up_to": "25 °C"
    "factors": [(1.08) (1.05) (1.04)]
   } {
    "up_to": "30 °C"
    "factors": [(1.0) (1.0) (1.0)]
   } {
    "up_to": "35 °C"
    "factors": [(0.91) (0.94) (0.96)]
   } {
    "up_to": "40 °C"
    "factors": [(0.82) (0.88) (0.91)]
   } {
    "up_to": "45 °C"
    "factors": [(0.71) (0.82) (0.87)]
   } {
    "up_to": "50 °C"
    "factors": [(0.58) (0.75) (0.82)]
   } {
    "up_to": "55 °C"
    "factors": [(0.41) (0.67) (0.76)]
   } {
    "up_to": "60 °C"
    "factors": [null (0.58) (0.71)]
   } {
    "up_to": "65 °C"
    "factors": [null (0.47) (0.65)]
   } {
    "up_to": "70 °C"
    "factors": [null (0.33) (0.58)]
   } {
    "up_to": "75 °C"
    "factors": [null null (0.5)]
   } {
    "up_to": "80 °C"
    "factors": [null null (0.41)]
   } {
    "up_to": "85 °C"
    "factors": [null null (0.29)]
   }]
   "source": "NFPA 70 (2023), Table 310.15(B)(1)(1)"
   "checked": "confirmed"
   "why": "The rows are printed in whole degrees; a temperature between two rows takes the factor of the hotter one."
  }
  "grouping": {
   "rows": [{
    "up_to": (3.0)
    "factor": "100 %"
   } {
    "up_to": (6.0)
    "factor": "80 %"
   } {
    "up_to": (9.0)
    "factor": "70 %"
   } {
    "up_to": (20.0)
    "factor": "50 %"
   } {
    "up_to": (30.0)
    "factor": "45 %"
   } {
    "up_to": (40.0)
    "factor": "40 %"
   }]
   "beyond": "35 %"
   "source": "NFPA 70 (2023), Table 310.15(C)(1)"
   "checked": "confirmed"
  }
  "terminations": {
   "listed": ["60 °C" "75 °C"]
   "large": {
    "rating": "75 °C"
    "above_rating": "100 A"
    "above_size": "1 AWG"
   }
   "source": "NFPA 70 (2023), 110.14(C)(1)"
   "checked": "confirmed"
   "why": "If the visit does not state the terminals' rating, both ratings that breakers of this size are listed for are tried, and the check is decided only when they agree."
  }
  "wiring_limits": {
   "nm-cable": {
    "column": "60 °C"
    "source": "NFPA 70 (2023), 334.80"
    "checked": "confirmed"
    "why": "The 90 °C rating may be used for correction and adjustment only."
   }
   "uf-cable": {
    "column": "60 °C"
    "correction": "60 °C"
    "source": "NFPA 70 (2023), 340.80"
    "checked": "confirmed"
    "why": "The clause has no allowance to correct from a higher column."
   }
   "se-cable": {
    "column": "60 °C"
    "up_to": "10 AWG"
    "source": "NFPA 70 (2023), 338.10(B)(4)"
    "checked": "confirmed"
    "why": "Holds in contact with thermal insulation; taken as the case wherever the cable is this small, because nobody sees it in the wall."
   }
  }
  "resistance": {
   "unit": "Ω/1000 ft"
   "at": "75 °C"
   "copper": {
    "coefficient": (0.00323)
    "solid": {
     "14 AWG": (3.07)
     "12 AWG": (1.93)
     "10 AWG": (1.21)
     "8 AWG": (0.764)
    }
    "stranded": {
     "14 AWG": (3.14)
     "12 AWG": (1.98)
     "10 AWG": (1.24)
     "8 AWG": (0.778)
     "6 AWG": (0.491)
     "4 AWG": (0.308)
     "3 AWG": (0.245)
     "2 AWG": (0.194)
     "1 AWG": (0.154)
     "1/0 AWG": (0.122)
     "2/0 AWG": (0.0967)
     "3/0 AWG": (0.0766)
     "4/0 AWG": (0.0608)
     "250 kcmil": (0.0515)
     "300 kcmil": (0.0429)
     "350 kcmil": (0.0367)
     "400 kcmil": (0.0321)
     "500 kcmil": (0.0258)
    }
   }
   "aluminium": {
    "coefficient": (0.0033)
    "solid": {
     "14 AWG": (5.06)
     "12 AWG": (3.18)
     "10 AWG": (2.0)
     "8 AWG": (1.26)
    }
    "stranded": {
     "14 AWG": (5.17)
     "12 AWG": (3.25)
     "10 AWG": (2.04)
     "8 AWG": (1.28)
     "6 AWG": (0.808)
     "4 AWG": (0.508)
     "3 AWG": (0.403)
     "2 AWG": (0.319)
     "1 AWG": (0.253)
     "1/0 AWG": (0.201)
     "2/0 AWG": (0.159)
     "3/0 AWG": (0.126)
     "4/0 AWG": (0.1)
     "250 kcmil": (0.0847)
     "300 kcmil": (0.0707)
     "350 kcmil": (0.0605)
     "400 kcmil": (0.0529)
     "500 kcmil": (0.0424)
    }
   }
   "source": "NFPA 70 (2023), Chapter 9, Table 8, uncoated copper and aluminium, direct current"
   "checked": "confirmed"
   "why": "Alternating current adds less than 2 % at these sizes up to 4/0 AWG. If the visit does not state solid or stranded, the higher value is taken; copper-clad aluminium is taken as aluminium."
  }
  "receptacles": {
   "configurations": {
    "5-15": {
     "rating": "15 A"
     "voltage": "125 V"
    }
    "5-20": {
     "rating": "20 A"
     "voltage": "125 V"
    }
    "6-15": {
     "rating": "15 A"
     "voltage": "250 V"
    }
    "6-20": {
     "rating": "20 A"
     "voltage": "250 V"
    }
    "6-30": {
     "rating": "30 A"
     "voltage": "250 V"
    }
    "6-50": {
     "rating": "50 A"
     "voltage": "250 V"
    }
    "14-30": {
     "rating": "30 A"
     "voltage": "250 V"
    }
    "14-50": {
     "rating": "50 A"
     "voltage": "250 V"
    }
    "14-60": {
     "rating": "60 A"
     "voltage": "250 V"
    }
   }
   "source": "NEMA WD 6 (2021)"
   "checked": "from-memory"
   "why": "The 14 series is 125/250 V; the voltage given is the one between its legs."
  }
  "yearly_energy": {
   "value": "3500 kWh"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "About 12,000 miles a year at 0.29 kWh a mile. The loss in the run is printed for this much charging at rated current."
  }
  "checks": {
   "continuous-load": {
    "grade": "repair"
    "factor": (1.25)
    "full_rated_factor": (1.0)
    "source": "NFPA 70 (2023), 210.20(A), 625.41 and 625.42"
    "checked": "confirmed"
    "why": "A charging load is continuous. A device listed for operation at 100 % of its rating needs no allowance."
   }
   "standard-rating": {
    "grade": "note"
    "source": "NFPA 70 (2023), 240.6(A)"
    "checked": "confirmed"
    "why": "Another value is a misread label or an adjustable device; neither is a danger by itself."
   }
   "conductor-continuous": {
    "grade": "repair"
    "factor": (1.25)
    "full_rated_factor": (1.0)
    "source": "NFPA 70 (2023), 210.19(A)(1), 110.14(C)(1) and Table 310.16"
    "checked": "confirmed"
    "why": "Before correction and adjustment, in the column that terminals and wiring allow."
   }
   "conductor-ampacity": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 210.19(A)(1), 310.15(B)(1), 310.15(C)(1) and Table 310.16"
    "checked": "confirmed"
    "why": "After correction and adjustment, which may begin in the column of the insulation; never above the column that terminals and wiring allow."
   }
   "conductor-protection": {
    "grade": "repair"
    "next_size_up_to": "800 A"
    "source": "NFPA 70 (2023), 240.4 and 240.4(B)"
    "checked": "confirmed"
    "why": "The next standard rating above the ampacity is allowed where the ampacity is no standard rating itself and the circuit feeds no more than one receptacle."
   }
   "small-conductor": {
    "grade": "repair"
    "unit": "A"
    "copper": {
     "14 AWG": (15.0)
     "12 AWG": (20.0)
     "10 AWG": (30.0)
    }
    "aluminium": {
     "12 AWG": (15.0)
     "10 AWG": (25.0)
    }
    "copper-clad-aluminium": {
     "14 AWG": (10.0)
     "12 AWG": (15.0)
     "10 AWG": (25.0)
    }
    "source": "NFPA 70 (2023), 240.4(D)"
    "checked": "confirmed"
   }
   "voltage-drop": {
    "grade": "note"
    "branch": "3 %"
    "feeder": "3 %"
    "total": "5 %"
    "source": "NFPA 70 (2023), informational notes to 210.19 and 215.2"
    "checked": "confirmed"
    "why": "The notes advise and do not bind. Conductor temperature at load is taken as air plus the rise that goes with the square of the current, 45 K at the ampacity of the 75 °C column."
   }
   "aluminium-termination": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 110.14"
    "checked": "from-memory"
    "why": "Aluminium belongs only under terminals marked for it; it creeps under a screw and expands a third more than copper."
   }
   "receptacle-configuration": {
    "grade": "repair"
    "configurations": ["5-15" "5-20" "6-15" "6-20" "6-30" "6-50" "14-30" "14-50"]
    "source": "NFPA 70 (2023), 625.44"
    "checked": "from-memory"
    "why": "Confirmed in the text of the 2020 edition; above 50 A the charger is wired in. The 2026 edition asks for receptacles listed for EV charging."
   }
   "receptacle-rating": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 210.21(B)(1)"
    "checked": "from-memory"
    "why": "A single receptacle on its own circuit is rated for no less than the circuit."
   }
   "receptacle-grade": {
    "grade": "watch"
    "above": "16 A"
    "accepted": ["industrial" "ev-listed"]
    "source": "common practice, no source"
    "checked": "common-practice"
    "why": "Residential receptacles are made for ranges and dryers that run at full load for minutes; hours of full current every night loosen and overheat their contacts."
   }
   "individual-circuit": {
    "grade": "repair"
    "above_current": "16 A"
    "above_voltage": "120 V"
    "source": "NFPA 70 (2023), 625.40"
    "checked": "confirmed"
   }
   "ground-fault": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 625.54"
    "checked": "confirmed"
    "why": "Every receptacle for EV charging has Class A protection; a charger wired in brings its own and is not covered by the clause. An installation made under an older edition may lawfully lack it; the inspector then gives another grade with the reason."
   }
   "disconnect": {
    "grade": "repair"
    "above_current": "60 A"
    "above_voltage_to_ground": "150 V"
    "source": "NFPA 70 (2023), 625.43 and 110.25"
    "checked": "confirmed"
    "why": "Readily accessible and lockable open; where it is remote from the charger, a plaque at the charger states where."
   }
   "breaker-poles": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 240.15(B)"
    "checked": "from-memory"
    "why": "A device that does not open every line leaves the circuit live when it is off, for whoever believes it dead."
   }
   "current-setting": {
    "grade": "note"
    "source": "NFPA 70 (2023), 625.42(B) and 750.30(C)(3)"
    "checked": "confirmed"
    "why": "The circuit may be sized for the setting where only qualified persons reach it: behind a cover that needs a tool, a locked door or a password. The adjusted rating is on the label. Text of the clauses as quoted at captaincode2023.leviton.com (node 357) and forums.mikeholt.com (thread 2586743)."
   }
   "managed-setting": {
    "grade": "note"
    "source": "NFPA 70 (2023), 625.42(A) and 750.30(C)(3)"
    "checked": "confirmed"
    "why": "What supplies the loads may be sized for the limit of the energy management system, whose settings only qualified persons reach. Text of 750.30(C)(3) as quoted at forums.mikeholt.com (thread 2586743)."
   }
   "load-management": {
    "grade": "repair"
    "factor": (1.25)
    "source": "NFPA 70 (2023), 625.42(A) and 215.3"
    "checked": "confirmed"
    "why": "The load of a feeder is the most that the system lets its loads draw (text as quoted at captaincode2023.leviton.com, node 357), and it is continuous."
   }
   "grounding-conductor": {
    "grade": "repair"
    "rows": [{
     "up_to": "15 A"
     "copper": "14 AWG"
     "aluminium": "12 AWG"
    } {
     "up_to": "20 A"
     "copper": "12 AWG"
     "aluminium": "10 AWG"
    } {
     "up_to": "60 A"
     "copper": "10 AWG"
     "aluminium": "8 AWG"
    } {
     "up_to": "100 A"
     "copper": "8 AWG"
     "aluminium": "6 AWG"
    } {
     "up_to": "200 A"
     "copper": "6 AWG"
     "aluminium": "4 AWG"
    } {
     "up_to": "300 A"
     "copper": "4 AWG"
     "aluminium": "2 AWG"
    } {
     "up_to": "400 A"
     "copper": "3 AWG"
     "aluminium": "1 AWG"
    }]
    "source": "NFPA 70 (2023), 250.122(A) and Table 250.122"
    "checked": "confirmed"
    "proportional": "yes"
    "why": "Table as at brunsengineering.com/nec-table-250-122 and in the newsletters of mikeholt.com (letterID=212). Never larger than the circuit conductors. By 250.122(B) it grows in the proportion in which these are larger than the smallest with sufficient ampacity; a qualified person may show that a smaller one is enough, and the inspector then gives another grade with the reason. The grounding conductor in a cable is chosen by its maker."
   }
   "parallel-conductors": {
    "grade": "repair"
    "least": "1/0 AWG"
    "source": "NFPA 70 (2023), 310.10(G)(1)"
    "checked": "from-memory"
    "why": "Smaller conductors may not be joined at both ends to share a current."
   }
   "feeder-protection": {
    "grade": "repair"
    "next_size_up_to": "800 A"
    "source": "NFPA 70 (2023), 215.3, 240.4 and 240.4(B)"
    "checked": "confirmed"
    "why": "As for the branch circuit, in the column of the feeder's own terminals."
   }
   "feeder-ampacity": {
    "grade": "repair"
    "source": "NFPA 70 (2023), 215.2(A)(1), 110.14(C)(1) and Table 310.16"
    "checked": "from-memory"
    "why": "The stated load is compared unchanged, because its continuous part is not known."
   }
   "outdoor-ground-fault": {
    "grade": "watch"
    "up_to_rating": "50 A"
    "up_to_voltage_to_ground": "150 V"
    "source": "NFPA 70 (2023), 210.8(F)"
    "checked": "confirmed"
    "why": "Asked of outdoor outlets of dwellings, a charger that is wired in included (as summarised at digitrip.com, GFCI 210.8(F), and electricallicenserenewal.com, section 812). An installation made under an older edition may lawfully lack it."
   }
   "splices": {
    "grade": "note"
    "most": (1.0)
    "source": "common practice, no source"
    "checked": "common-practice"
    "why": "One joint in a leg, where the run changes its wiring method, is usual. Every further one is another place to work loose."
   }
  }
 }
 "needed": {
  "supply.system": {
   "checks": ["disconnect"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.43, over 150 V to ground"
   "checked": "from-memory"
   "why": "A delta supply may have a leg at more than 150 V to ground, a wye supply of 208 V has none."
  }
  "breaker.terminal_rating": {
   "checks": ["conductor-continuous" "conductor-ampacity" "conductor-protection"]
   "always": "yes"
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 110.14(C)(1)"
   "checked": "from-memory"
   "why": "It chooses the column of the ampacity table, and it is the limit of the terminals' own heat, so that it is asked for even where the conductor is large enough for either."
  }
  "conductors.size": {
   "checks": ["conductor-continuous" "conductor-ampacity" "conductor-protection" "voltage-drop" "run-loss"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), Table 310.16"
   "checked": "from-memory"
   "why": "A size that the table does not have may be far too thin."
  }
  "conductors.insulation": {
   "checks": ["conductor-continuous" "conductor-ampacity" "conductor-protection"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 310.14(A)(3) and Table 310.16"
   "checked": "from-memory"
  }
  "conductors.wiring": {
   "checks": ["conductor-continuous" "conductor-ampacity" "conductor-protection"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 334.80 and 338.10(B)(4)"
   "checked": "from-memory"
   "why": "Some cables are held to a cooler column than their conductors."
  }
  "conductors.current_carrying": {
   "checks": ["conductor-continuous" "conductor-ampacity" "conductor-protection"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 310.15(C)(1)"
   "checked": "from-memory"
  }
  "conductors.length": {
   "checks": ["voltage-drop" "voltage-drop-total" "run-loss"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), informational notes to 210.19 and 215.2"
   "checked": "from-memory"
   "why": "The notes advise; a long run costs energy and overheats nothing."
  }
  "charger.setting_restricted": {
   "checks": ["current-setting"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), 625.42(B) and 750.30(C)(3)"
   "checked": "confirmed"
   "why": "It can be seen on the charger or in its application."
  }
  "feeder.protected_by": {
   "checks": ["load-management"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), 625.42(A) and 215.3"
   "checked": "from-memory"
   "why": "It can be seen on the breaker of the feeder."
  }
  "feeder.terminal_rating": {
   "checks": ["feeder-protection" "feeder-ampacity"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 110.14(C)(1)"
   "checked": "from-memory"
  }
  "feeder.wiring": {
   "checks": ["feeder-protection" "feeder-ampacity"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 334.80 and 338.10(B)(4)"
   "checked": "from-memory"
  }
  "feeder.size": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total" "feeder-protection" "feeder-ampacity"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), informational notes to 210.19 and 215.2"
   "checked": "from-memory"
  }
  "feeder.length": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), informational notes to 210.19 and 215.2"
   "checked": "from-memory"
  }
  "feeder.load": {
   "checks": ["voltage-drop-feeder" "voltage-drop-total"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), informational notes to 210.19 and 215.2"
   "checked": "from-memory"
  }
  "places.connections.marked": {
   "checks": ["aluminium-termination"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 110.14"
   "checked": "from-memory"
   "why": "It can be seen on the terminal, and aluminum under a terminal for copper works loose."
  }
  "receptacle.configuration": {
   "checks": ["receptacle-configuration" "receptacle-rating"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.44 and 210.21(B)(1)"
   "checked": "from-memory"
  }
  "receptacle.grade": {
   "checks": ["receptacle-grade"]
   "incomplete": "yes"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "It can be seen on the receptacle, and one made for short loads is among the most frequent causes of burnt plugs."
  }
  "breaker.ground_fault": {
   "checks": ["ground-fault"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.54"
   "checked": "from-memory"
   "why": "It can be seen on the breaker, and it protects people."
  }
  "dedicated": {
   "checks": ["individual-circuit" "conductor-protection"]
   "incomplete": "no"
   "source": "NFPA 70 (2023), 625.40 and 240.4(B)(1)"
   "checked": "from-memory"
   "why": "Its connections do not show what else the circuit serves; the overcurrent device limits what both draw together."
  }
  "disconnect.lockable": {
   "checks": ["disconnect"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.43 and 110.25"
   "checked": "from-memory"
  }
  "disconnect.in_sight": {
   "checks": ["disconnect"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.43"
   "checked": "from-memory"
  }
  "disconnect.plaque": {
   "checks": ["disconnect"]
   "incomplete": "yes"
   "source": "NFPA 70 (2023), 625.43"
   "checked": "from-memory"
  }
  "disconnect.kind": {
   "checks": []
   "incomplete": "yes"
   "source": "common practice, no source"
   "checked": "common-practice"
   "why": "A switch has terminals of its own on both sides, which carry the charger's current and are inspected like all others; a breaker or a plug that disconnects is listed already."
  }
 }
 "starter": {
  "units": "us"
  "paper": "letter"
  "legs": "2"
  "rated": "40 A"
  "breaker": "50 A"
  "conductor": "6 AWG copper"
  "insulation": "90 °C"
  "terminal_rating": "75 °C"
  "hottest_air": "104 °F"
  "receptacle": "14-50"
  "supplies": {
   "1": {
    "phases": (1.0)
    "legs": ["L1" "N"]
    "voltage": "120 V"
   }
   "2": {
    "phases": (1.0)
    "legs": ["L1" "L2"]
    "voltage": "240 V"
   }
   "3": {
    "phases": (3.0)
    "legs": ["L1" "L2" "L3"]
    "voltage": "208 V"
   }
  }
  "source": "ANSI C84.1 (2020), Table 1, nominal voltages"
  "checked": "from-memory"
  "why": "The other values are the most usual ones; the starter visit says that nobody was asked."
 }
 "editions": {
  "2020": {
   "title": "United States, NFPA 70 (NEC) 2020"
   "unchanged": "from-memory"
   "changes": {
    "circuit": {
     "standard_ratings": {
      "unit": "A"
      "value": [(15.0) (20.0) (25.0) (30.0) (35.0) (40.0) (45.0) (50.0) (60.0) (70.0) (80.0) (90.0) (100.0) (110.0) (125.0) (150.0) (175.0) (200.0) (225.0) (250.0) (300.0) (350.0) (400.0) (450.0) (500.0) (600.0) (700.0) (800.0) (1000.0) (1200.0) (1600.0) (2000.0) (2500.0) (3000.0) (4000.0) (5000.0) (6000.0)]
      "source": "NFPA 70 (2020), Table 240.6(A)"
      "checked": "confirmed"
      "why": "Without 10 A, which came in 2023 (expertce.com, how the 2023 NEC changes standard circuit breaker ratings)."
     }
     "ambient_correction": {
      "columns": ["60 °C" "75 °C" "90 °C"]
      "rows": [{
       "up_to": "10 °C"
       "factors": [(1.29) (1.2) (1.15)]
      } {
       "up_to": "15 °C"
       "factors": [(1.22) (1.15) (1.12)]
      } {
       "up_to": "20 °C"
       "factors": [(1.15) (1.11) (1.08)]
      } {
       "up_to": "25 °C"
       "factors": [(1.08) (1.05) (1.04)]
      } {
       "up_to": "30 °C"
       "factors": [(1.0) (1.0) (1.0)]
      } {
       "up_to": "35 °C"
       "factors": [(0.91) (0.94) (0.96)]
      } {
       "up_to": "40 °C"
       "factors": [(0.82) (0.88) (0.91)]
      } {
       "up_to": "45 °C"
       "factors": [(0.71) (0.82) (0.87)]
      } {
       "up_to": "50 °C"
       "factors": [(0.58) (0.75) (0.82)]
      } {
       "up_to": "55 °C"
       "factors": [(0.41) (0.67) (0.76)]
      } {
       "up_to": "60 °C"
       "factors": [null (0.58) (0.71)]
      } {
       "up_to": "65 °C"
       "factors": [null (0.47) (0.65)]
      } {
       "up_to": "70 °C"
       "factors": [null (0.33) (0.58)]
      } {
       "up_to": "75 °C"
       "factors": [null null (0.5)]
      } {
       "up_to": "80 °C"
       "factors": [null null (0.41)]
      } {
       "up_to": "85 °C"
       "factors": [null null (0.29)]
      }]
      "source": "NFPA 70 (2020), Table 310.15(B)(1)"
      "checked": "from-memory"
      "why": "The factors of Table 310.15(B)(1)(1) of 2023. A temperature between two rows takes the factor of the hotter one."
     }
     "checks": {
      "small-conductor": {
       "grade": "repair"
       "unit": "A"
       "copper": {
        "14 AWG": (15.0)
        "12 AWG": (20.0)
        "10 AWG": (30.0)
       }
       "aluminium": {
        "12 AWG": (15.0)
        "10 AWG": (25.0)
       }
       "copper-clad-aluminium": {
        "12 AWG": (15.0)
        "10 AWG": (25.0)
       }
       "source": "NFPA 70 (2020), 240.4(D)"
       "checked": "confirmed"
       "why": "Limits as at encorewire.com, wire size table. 14 AWG copper-clad aluminum came in 2023."
      }
      "individual-circuit": {
       "grade": "repair"
       "above_current": "0 A"
       "above_voltage": "0 V"
       "source": "NFPA 70 (2020), 625.40"
       "checked": "confirmed"
       "why": "Every outlet for charging, however small its load."
      }
      "ground-fault": {
       "grade": "repair"
       "source": "NFPA 70 (2020), 625.54"
       "checked": "confirmed"
       "why": "Every receptacle for charging (ecmweb.com, code quiz on wiring requirements for EV charging equipment, 2021). A charger wired in is not covered by the clause."
      }
      "outdoor-ground-fault": {
       "grade": "watch"
       "up_to_rating": "50 A"
       "up_to_voltage_to_ground": "150 V"
       "source": "NFPA 70 (2020), 210.8(F)"
       "checked": "confirmed"
       "why": "As summarised at electricallicenserenewal.com, section 812. Several states put it off or left it out; the inspector then gives another grade with the reason."
      }
      "receptacle-configuration": {
       "grade": "repair"
       "configurations": ["5-15" "5-20" "6-15" "6-20" "6-30" "6-50" "14-30" "14-50"]
       "source": "NFPA 70 (2020), 625.44"
       "checked": "confirmed"
       "why": "As summarised at captaincode2020.leviton.com, node 275. Above 50 A the charger is wired in."
      }
      "receptacle-grade": {
       "grade": "watch"
       "above": "16 A"
       "accepted": ["industrial" "ev-listed"]
       "source": "common practice, no source"
       "checked": "common-practice"
       "why": "Residential receptacles are made for ranges and dryers that run at full load for minutes; hours of full current every night loosen and overheat their contacts."
      }
      "current-setting": {
       "grade": "note"
       "source": "NFPA 70 (2020), 625.42"
       "checked": "from-memory"
       "why": "In 2020 only equipment fixed in place may have an adjusted rating, with restricted access to the setting."
      }
      "load-management": {
       "grade": "repair"
       "factor": (1.25)
       "source": "NFPA 70 (2020), 625.42 and 215.3"
       "checked": "from-memory"
       "why": "An automatic load management system, in the words of that edition."
      }
     }
    }
   }
  }
  "2026": {
   "title": "United States, NFPA 70 (NEC) 2026"
   "unchanged": "from-memory"
   "changes": {
    "circuit": {
     "checks": {
      "disconnect": {
       "grade": "repair"
       "hardwired_only": "yes"
       "above_current": "0 A"
       "above_voltage_to_ground": "0 V"
       "source": "NFPA 70 (2026), 625.43(A) to (C)"
       "checked": "confirmed"
       "why": "The thresholds of earlier editions are gone: all equipment that is permanently connected has one that is readily accessible, with a plaque where it is remote (as summarised at electricallicenserenewal.com, section 1972). The emergency shutoff that 625.43(D) asks for outside one- and two-family dwellings, 20 ft to 100 ft from the charger and in sight, is not checked: an amendment of its text was proposed in January 2026 (ecmweb.com, TIA log 1874), so look it up where it applies."
      }
      "outdoor-ground-fault": {
       "grade": "watch"
       "up_to_rating": "60 A"
       "up_to_voltage_to_ground": "150 V"
       "source": "NFPA 70 (2026), 210.8(F)"
       "checked": "confirmed"
       "why": "As summarised at electricallicenserenewal.com, section 1852."
      }
      "ground-fault": {
       "grade": "repair"
       "hardwired_up_to": "150 V"
       "source": "NFPA 70 (2026), 625.54"
       "checked": "from-memory"
       "why": "The second draft extends the clause to outlets of chargers that are wired in, at no more than 150 V to ground (forums.mikeholt.com, thread 2585367); the printed text was not seen."
      }
      "receptacle-configuration": {
       "grade": "repair"
       "configurations": ["5-15" "5-20" "6-15" "6-20" "6-30" "6-50" "14-30" "14-50" "14-60"]
       "source": "NFPA 70 (2026), 625.44"
       "checked": "confirmed"
       "why": "Up to 60 A for 125/250 V (ecmweb.com, top 25 changes to the 2026 National Electrical Code, number 25)."
      }
      "receptacle-grade": {
       "grade": "repair"
       "above": "16 A"
       "accepted": ["ev-listed"]
       "source": "NFPA 70 (2026), 625.44"
       "checked": "confirmed"
       "why": "Receptacles of 30, 50 and 60 A are listed for EVSE use (ecmweb.com, top 25 changes to the 2026 National Electrical Code, number 25). An installation made under an older edition may lawfully have another; the inspector then gives another grade with the reason."
      }
     }
    }
   }
  }
 }
}
}
