"""What leaves the service as a file, and comes back: tables, records, copies, bundles, the planting record, feeds."""
