"""What would mend a finding: one function for each kind of remedy, for the rules that it fits."""
