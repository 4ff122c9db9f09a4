"""The papers a shop hands over: quote, job card, setup sheet, brief for the tuner."""
