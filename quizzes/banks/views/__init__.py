"""The pages of banks: a teacher's list and bank page, and the rules as everyone reads them."""
