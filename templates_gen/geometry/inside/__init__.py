"""What is put into the planked boat: how it meets the inside of the planking, step by step."""
