"""What people read: results in, text out. Nothing here touches the store."""
