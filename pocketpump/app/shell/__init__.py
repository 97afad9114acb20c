"""The frame around every screen.

``screen_route``    what goes with a screen: its title, its place, the way back
``shell``           one tab: its route, its screen, what a screen may ask and do
``drawing``         when it is drawn; ``last_said`` what was said last
``frame``           the bar and the column; drawing only
``event_handling``  every tap and typed letter goes through one place
``refused_save``    where a refused save says why
``translation``     a drawn screen in another language
``day_watch``       a screen left open shows what has become true since; ``device_zone``
``typed_text``      what is typed in one tab and not saved yet; ``secret_fields`` typed secrets
``client``          what the client is told; ``demo_calls`` the demo dials nothing
"""
