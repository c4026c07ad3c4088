"""The explorer's survey screens: walk the gear part by part and record findings."""
