"""Mock-ups for checking the fit before steel is cut: printed, folded from card, cut in foam."""
