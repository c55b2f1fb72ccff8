"""The tests of Heelball, one folder for each room and one for each kind of outside evidence."""
