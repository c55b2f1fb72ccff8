"""What try-ons teach: how each last runs, each foot and taste, and how reports are made (MODEL 9)."""
