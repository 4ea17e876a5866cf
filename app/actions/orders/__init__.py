"""What to order, writing it, receiving it, suppliers. Uses layers and stock."""
