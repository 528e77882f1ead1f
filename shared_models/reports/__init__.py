"""Questions asked of the tables: rates, stands, soil, a day's sheet. The same answers on the phone and the service.

Each question takes a session on the tables and a farm's id. Nothing computed is stored. Voided records are left out,
and flagged ones are not in the tables asked here; `look` lists them.
"""
