package files

// ApprovedDir is where approvals and their pictures lie in a shoot.
const ApprovedDir = "approved"
