"""The bench session: one page that stays open while hands are wet, its entries, its printed sheet and label."""
