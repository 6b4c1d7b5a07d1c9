"""Reports: findings and readings as text and as JSON, each kind written by the module that is named after it."""
