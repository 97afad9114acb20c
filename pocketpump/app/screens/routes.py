"""Where every screen stands: its address, its title, and where "Back" leads from it."""

from collections.abc import Mapping

from pocketpump.app.screens.card.card import emergency_card
from pocketpump.app.screens.card.care import care
from pocketpump.app.screens.card.carer import carer
from pocketpump.app.screens.card.papers import papers
from pocketpump.app.screens.card.printed import card_paper, carer_paper, letter_paper, tag_paper
from pocketpump.app.screens.diary.changes import changes
from pocketpump.app.screens.diary.check_in import check_in
from pocketpump.app.screens.diary.diary import diary
from pocketpump.app.screens.diary.event import diary_event
from pocketpump.app.screens.diary.log import log
from pocketpump.app.screens.diary.measures import measure, measures
from pocketpump.app.screens.more.about_you import about_you
from pocketpump.app.screens.more.home_screen import home_screen
from pocketpump.app.screens.more.more import about, look, more
from pocketpump.app.screens.more.questions import questions
from pocketpump.app.screens.more.remind import remind
from pocketpump.app.screens.more.trip import travel_paper, trip, trips
from pocketpump.app.screens.more.trip_form import trip_form
from pocketpump.app.screens.pages import pages_screen
from pocketpump.app.screens.pump.clinic_days import clinic_days
from pocketpump.app.screens.pump.device_life import device
from pocketpump.app.screens.pump.dose_form import dose
from pocketpump.app.screens.pump.dose_list import doses
from pocketpump.app.screens.pump.pump import pump
from pocketpump.app.screens.pump.tip_delivery import tip_delivery
from pocketpump.app.screens.pump.what_if import what_if
from pocketpump.app.screens.refills.clinic_sheet import sheet, sheet_paper
from pocketpump.app.screens.refills.refill_form import refill
from pocketpump.app.screens.refills.refill_list import refills
from pocketpump.app.screens.refills.visit import visit
from pocketpump.app.screens.safety.contacts import contact, contacts
from pocketpump.app.screens.safety.signs import signs
from pocketpump.app.screens.today.first_run import start, start_dose, start_pump, start_refill
from pocketpump.app.screens.today.today import today
from pocketpump.app.screens.whole_record.backup import backup
from pocketpump.app.screens.whole_record.merge import merge
from pocketpump.app.screens.whole_record.my_record import my_record, new_phone
from pocketpump.app.screens.whole_record.shared import shared
from pocketpump.app.screens.whole_record.tables import tables
from pocketpump.app.shell.screen_route import ScreenRoute
from pocketpump.core.messages import message

PAPERS = {
    "card": card_paper, "tag": tag_paper, "letter": letter_paper, "carer": carer_paper,
    "sheet": sheet_paper, "travel": travel_paper,
}  # fmt: skip
"""What can be printed, by the name the route of the pages asks for."""

ROUTES: Mapping[str, ScreenRoute] = {
    "/today": ScreenRoute(today, message("Today"), "/today"),
    "/start": ScreenRoute(start, message("Welcome"), "/today", bare=True),
    "/start/pump": ScreenRoute(start_pump, message("Your pump"), "/today", up="/start", bare=True),
    "/start/refill": ScreenRoute(start_refill, message("Your last refill"), "/today",
                                 up="/start/pump", bare=True),
    "/start/dose": ScreenRoute(start_dose, message("Your dose setting"), "/today",
                               up="/start/refill", bare=True),
    "/check-in": ScreenRoute(check_in, message("How is it now?"), "/diary", up="/today",
                             correcting=message("Correct a check-in")),
    "/diary": ScreenRoute(diary, message("Diary"), "/diary"),
    "/happening": ScreenRoute(diary_event, message("Something happened"), "/diary", up="/diary",
                              correcting=message("Correct what happened")),
    "/changes": ScreenRoute(changes, message("After each dose change"), "/diary", up="/diary"),
    "/log": ScreenRoute(log, message("All check-ins and notes"), "/diary", up="/diary"),
    "/measures": ScreenRoute(measures, message("Measures and goals"), "/diary", up="/diary"),
    "/measure": ScreenRoute(measure, message("A new measure"), "/diary", up="/measures",
                            correcting=message("Correct a measure")),
    "/signs": ScreenRoute(signs, message("Warning signs"), "/diary", up="/check-in"),
    "/contacts": ScreenRoute(contacts, message("Whom to call"), "/more", up="/more"),
    "/contact": ScreenRoute(contact, message("A new number to call"), "/more", up="/contacts",
                            correcting=message("Correct a number")),
    "/refills": ScreenRoute(refills, message("Refills"), "/refills"),
    "/refill": ScreenRoute(refill, message("A refill"), "/refills", up="/refills",
                           correcting=message("Correct a refill")),
    "/visit": ScreenRoute(visit, message("Visit booked"), "/refills", up="/refills"),
    "/sheet": ScreenRoute(sheet, message("Clinic sheet"), "/refills", up="/refills"),
    "/doses": ScreenRoute(doses, message("Dose settings"), "/more", up="/more"),
    "/dose": ScreenRoute(dose, message("A new dose setting"), "/more", up="/doses",
                         correcting=message("Correct a dose setting")),
    "/reach": ScreenRoute(tip_delivery, message("What reaches the body"), "/more", up="/doses"),
    "/what-if": ScreenRoute(what_if, message("What if …"), "/more", up="/more"),
    "/pump": ScreenRoute(pump, message("The pump"), "/more", up="/more"),
    "/device": ScreenRoute(device, message("Life of the pump"), "/more", up="/more"),
    "/clinic-days": ScreenRoute(clinic_days, message("Clinic days"), "/more", up="/more"),
    "/card": ScreenRoute(emergency_card, message("Emergency card"), "/card", up="/today", bare=True,
                         awake=True),
    "/care": ScreenRoute(care, message("Details on the card"), "/card", up="/card"),
    "/carer": ScreenRoute(carer, message("For a school or a carer"), "/card", up="/card"),
    "/papers": ScreenRoute(papers, message("The clinic's papers"), "/card", up="/care"),
    "/pages": ScreenRoute(pages_screen(PAPERS), message("Pages to print"), "/card", up="/card",
                          elsewhere={"sheet": ("/refills", "/sheet"), "travel": ("/more", "/trips"),
                                     "carer": ("/card", "/carer")}),
    "/backup": ScreenRoute(backup, message("Backup"), "/more", up="/more"),
    "/shared": ScreenRoute(shared, message("A file for the record"), "/more", up="/papers"),
    "/merge": ScreenRoute(merge, message("Bring in a copy"), "/more", up="/more"),
    "/tables": ScreenRoute(tables, message("Tables and other systems"), "/more", up="/more"),
    "/record": ScreenRoute(my_record, message("My record"), "/more", up="/more"),
    "/new-phone": ScreenRoute(new_phone, message("Move to a new phone"), "/more", up="/more"),
    "/start/copy": ScreenRoute(merge, message("Bring in a copy"), "/today", up="/start", bare=True),
    "/questions": ScreenRoute(questions, message("Questions for the clinic"), "/more", up="/more"),
    "/about-you": ScreenRoute(about_you, message("About you"), "/more", up="/more"),
    "/trips": ScreenRoute(trips, message("Trips"), "/more", up="/more"),
    "/trip": ScreenRoute(trip, message("A trip"), "/more", up="/trips"),
    "/trip-form": ScreenRoute(trip_form, message("Plan a trip"), "/more", up="/trips",
                              correcting=message("Correct a trip")),
    "/look": ScreenRoute(look, message("Text size and colours"), "/more", up="/more"),
    "/remind": ScreenRoute(remind, message("Reminders"), "/more", up="/more"),
    "/home-screen": ScreenRoute(home_screen, message("On the home screen"), "/more", up="/more"),
    "/about": ScreenRoute(about, message("About and cautions"), "/more", up="/more"),
    "/more": ScreenRoute(more, message("More"), "/more"),
}  # fmt: skip
