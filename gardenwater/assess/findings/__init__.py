"""Findings, by question: what the answers mean for the person who gardens there."""
