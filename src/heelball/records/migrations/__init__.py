"""The steps from each schema of the records to the next; `heelball.records.migrating` takes them."""
