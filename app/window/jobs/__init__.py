"""The Jobs place: the list, a job's card, and booking a job."""
