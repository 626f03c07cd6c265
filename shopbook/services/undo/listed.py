"""Every act that a page calls: undoable, or final for a reason. A house test holds that none is missing."""

from collections.abc import Mapping

# fmt: off
UNDOABLE: Mapping[str, frozenset[str]] = {
    "jobs": frozenset(
        {
            "accept_warning", "add_damage", "add_part", "add_reading", "add_stage", "add_use", "call_off",
            "change_damage", "change_job", "change_mix", "change_part", "change_stage", "change_use", "check_in",
            "draft_plan", "follow_damage", "keep_conditions", "keep_desk_facts", "mark_ready", "move_stage",
            "name_who_and_car", "order_colour", "order_part", "part_came", "plan_days", "record_picture", "remove_use",
            "reopen_stage", "restore_damage", "restore_part", "restore_picture", "restore_stage", "send_part_back",
            "strike_damage", "strike_part", "strike_picture", "strike_stage", "take_ready_back", "take_up_again",
            "tell_ready",
        }
    ),
    "floor": frozenset(
        {
            "add_own_stage", "come_in", "correct_entry", "finish_stages", "go_home", "keep_colour_card",
            "keep_spray_record", "make_mix", "pause_clock", "place_time", "remove_colour_card", "report_trouble",
            "rest_not_on_car", "see_dry", "set_attendance", "start_clock", "start_on",
            "start_other", "take_all_guesses", "take_entry_back", "type_hours",
        }
    ),
    "shelf": frozenset(
        {
            "add_material", "add_supplier", "bring_back_material", "change_material", "change_order_line",
            "change_supplier", "choose_supplier", "clear_pot", "close_order", "count_materials", "draft_orders",
            "keep_pot", "note_opened", "open_pack", "retire_material", "waste_stock",
        }
    ),
    "diary": frozenset({"add_absence", "move_car", "remove_absence"}),
    "customers": frozenset({"add_customer", "add_vehicle", "change_customer", "change_vehicle", "keep_printed_name"}),
    "shop": frozenset(
        {
            "add_dated_paper", "add_place", "change_book", "change_dated_paper", "change_place", "close_days",
            "confirm_taxes", "end_dated_paper", "open_day", "renew_dated_paper", "set_labour_rates", "set_settings",
            "set_standard", "set_standards", "set_prices", "join_sides",
            "set_tax_kinds", "set_tax_rate", "take_guess", "take_untouched_guesses", "answer_province",
            "answer_sales_tax", "add_fixed_cost", "change_fixed_cost", "end_fixed_cost", "restore_fixed_cost",
            "set_paid_week", "strike_fixed_cost",
        }
    ),
    "reports": frozenset({"take_taught_standard", "use_minutes"}),
    "money": frozenset(
        {
            "add_group", "change_quote", "draft_extra", "draft_quote", "hand_over", "keep_kerb_price", "let_go",
            "lose_quote", "set_money_rules", "set_payers", "withdraw_quote",
        }
    ),
}
# fmt: on
"""By area. What such an act did beside (a numbered paper, money) can still make one press of it final."""

_NUMBERED = "It gives a number of a series that has no gaps."
_MONEY = "Money was taken: the payment is reversed, refunded or moved."
_PEOPLE = "Who may sign in is set on the person's page; no password or PIN is ever copied."
_DEVICE = "A device is ended or let stay signed in on the Devices page."
_SUPPLIER = "A supplier's paper stands behind it: return the goods or correct the price."

FINAL: Mapping[str, str] = {
    "jobs.book_car_in": _NUMBERED + " Cancel the job.",
    "jobs.open_kerb_job": _NUMBERED + " Cancel the job.",
    "jobs.open_comeback": _NUMBERED + " Cancel the job.",
    "jobs.continue_job": "Each damage is removed on the job's own page.",
    "jobs.make_sample_job": "The sample is removed on the job's own page.",
    "jobs.throw_sample_away": "Only a sample is removed for good, and another can be made.",
    "customers.erase_customer": "What a person asked to have erased is kept nowhere.",
    "jobs.erase_with_visits": "What a person asked to have erased is kept nowhere.",
    "floor.note_wants_call": "It is a line of the log only: press Called once the call is made.",
    "floor.note_called": "It is a line of the log only: note again that the customer wants a call.",
    "shelf.take_in_delivery": _SUPPLIER,
    "shelf.return_to_supplier": _SUPPLIER,
    "shelf.correct_price": _SUPPLIER,
    "shelf.send_order": "The order was sent: cancel the rest of it.",
    "shop.start_book": "A book is begun once.",
    "shop.go_on_with_numbers": _NUMBERED,
    "shop.add_person": _PEOPLE,
    "shop.change_person": _PEOPLE,
    "shop.set_cost": "It is a line from a day: set the cost again from that day.",
    "shop.set_password": _PEOPLE,
    "shop.set_pin": _PEOPLE,
    "shop.log_late_press": "It is a line of the log only: what the press did is undone.",
    "shop.discard_press": "What was thrown away is pressed again.",
    "shop.enrol_device": _DEVICE,
    "shop.hold_device": _DEVICE,
    "shop.put_down_device": _DEVICE,
    "shop.end_device": _DEVICE,
    "undo.undo_act": "The act itself can be pressed again.",
    "money.agree_quote": "The customer was told that it is kept: an approval is withdrawn with a reason.",
    "money.ask_again": "It was sent.",
    "money.give_quote": "The quote was given: withdraw it, or give a newer version.",
    "money.issue_invoice": "It is a numbered paper: correct the invoice.",
    "money.credit_invoice": "It is a numbered paper: issue a further invoice.",
    "money.prepare_first_invoice": _NUMBERED,
    "money.keep_asked_customer": _NUMBERED,
    "money.keep_asked_shop": _NUMBERED,
    "money.quick_job": "It is a numbered paper: correct the invoice.",
    "money.do_at_once": "It is a numbered paper: correct the invoice.",
    "money.take_payment": _MONEY,
    "money.take_deposit": _MONEY,
    "money.refund": _MONEY,
    "money.keep_security": _MONEY,
    "money.move_allocation": "It is moved back the same way.",
    "money.write_off": "Later money is recorded against the debt.",
    "money.match_lines": "What was matched may be billed at once: the match stays with who made it.",
    "money.read_approval_as": "The other reading is chosen with one press.",
    "money.correct_invoice": "It is a numbered paper: correct the corrected invoice.",
    "money.change_customer_of_job": "Change the customer back: papers may have been issued in the new name.",
    "money.merge_customers": "Separate them again on the customer's page.",
    "money.part_customer": "Merge them again.",
    "money.withdraw_approval": "An approval is saved anew: who approved is asked again.",
    "money.decline_by_payer": "The customer may pay for it, or it is dropped.",
    "money.move_rest": "It is moved back the same way.",
    "money.reverse_payment": _MONEY,
    "money.reverse_refund": _MONEY,
    "money.take_over_several": _MONEY,
    "money.reopen_month": "Close the month again: it makes the next version.",
    "money.file_return": "A return that was filed stays filed.",
    "money.close_month": "The newest closed month is reopened with a reason.",
}
"""Area and function, and in a sentence why it has no Undo, or what the way back is instead."""

FINAL_DEEDS = frozenset(name.partition(".")[2] for name in FINAL)
UNDOABLE_DEEDS = frozenset(name for names in UNDOABLE.values() for name in names)
"""As the log calls them."""
BESIDE_OTHERS = UNDOABLE_DEEDS | {"add_rework", "undo_act", "log_late_press"}
"""What may have been done on the same job since an act that is undone; anything else counted on the job as it was."""
